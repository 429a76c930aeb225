"""The survey: what people measured and wrote down."""
