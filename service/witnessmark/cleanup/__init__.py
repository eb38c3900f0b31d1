"""Cleaning a contaminated circuit: the plan, the log of filter readings, the balance of fragments."""
