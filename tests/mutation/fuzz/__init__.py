"""Fuzzing that is guided by coverage: bytes that reach a new branch are kept and changed further."""
