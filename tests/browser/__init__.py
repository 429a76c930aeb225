"""The pages as a person meets them, in a headless Chromium."""
