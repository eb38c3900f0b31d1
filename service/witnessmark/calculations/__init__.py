"""Pure calculations on SI floats and arrays; no units, no web."""
