"""Benchmarks: ratios in one run on one machine. ``python -m tests.bench.run`` prints them."""
