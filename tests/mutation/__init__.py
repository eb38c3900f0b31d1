"""Mutation testing: small faults are put into a copy of the source, and a test has to notice each of them."""
