"""Readings with their uncertainty: propagation, limits, ranges, least squares, local air pressure."""
