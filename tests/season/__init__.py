"""Seasons against seasons, on worlds whose truth is known."""
