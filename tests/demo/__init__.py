"""The demo's generator: invented buildings, simulated by stated physics, read by invented loggers."""
