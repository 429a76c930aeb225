"""How often the 90 % interval of a year's light dose holds the truth: ``python -m tests.light_coverage``."""
