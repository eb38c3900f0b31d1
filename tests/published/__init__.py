"""Checks against something outside: tables, worked examples, data and independent programs."""
