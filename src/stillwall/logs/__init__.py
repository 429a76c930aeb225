"""Loggers' files read into channels."""
