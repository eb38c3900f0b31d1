"""Cleaning a circuit after a failure: how bad, what to fit, when to look, when to stop."""
