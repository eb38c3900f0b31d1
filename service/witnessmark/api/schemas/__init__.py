"""Requests and answers of the wire, one file a subject."""
