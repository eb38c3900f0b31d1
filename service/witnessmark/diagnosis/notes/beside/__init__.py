"""What stands in a note beside its findings: plain facts, and its language."""
