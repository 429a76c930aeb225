"""What the files under ``data/`` may say, and how they are read."""
