"""Small faults put into the code on purpose, and the share of them that the tests notice."""
