"""Invented cases, worked out by the service and shown on one screen, with their reports beside them."""
