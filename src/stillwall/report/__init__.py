"""The report: one context, one page."""
