"""Turn loads into decisions."""
