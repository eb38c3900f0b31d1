"""Measurements. Each writes its own section into README.md here; none asserts a time."""
