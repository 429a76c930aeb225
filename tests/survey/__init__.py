"""Tests of reading the survey."""
