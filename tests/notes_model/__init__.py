"""Training and judging of the learned reader of notes: needed by no request, so not in the wheel."""
