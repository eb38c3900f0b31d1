"""The property library against the papers of its own equations, and round trips: no outside check of the service."""
