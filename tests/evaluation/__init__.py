"""The evaluation as a whole: everything measured, held against the gates, written to docs/EVALUATION.md."""
