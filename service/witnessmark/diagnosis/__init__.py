"""From findings to failure modes to causes, with reasons."""
