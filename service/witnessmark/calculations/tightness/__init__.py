"""Leaks, pressure test, evacuation, water."""
