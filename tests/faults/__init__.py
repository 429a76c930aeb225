"""Faults put in by force: what must be lost by none of them."""
