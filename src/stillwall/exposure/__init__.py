"""Physics: arrays in, numbers out, no opinion."""
