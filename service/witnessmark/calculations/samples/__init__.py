"""Samples of oil and refrigerant against their limits."""
