"""The report: one context, one page, the same bytes."""
