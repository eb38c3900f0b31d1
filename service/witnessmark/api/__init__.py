"""The web edge: units, JSON, problems."""
