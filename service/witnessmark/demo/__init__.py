"""One invented case, end to end through the client: what the service does, on one screen."""
