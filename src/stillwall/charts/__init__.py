"""Charts on matplotlib figures."""
