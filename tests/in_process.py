"""The service in the process of the tests, which goes on taking work when one of them has ended it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import FastAPI
from starlette.testclient import TestClient

from witnessmark.api.health import readiness


@contextmanager
def taking_work() -> Iterator[None]:
    """Whatever ends the service in this block, its process takes work afterwards: what was loaded stays."""
    try:
        yield
    finally:
        readiness.stage = "ready"


@contextmanager
def alive(app: FastAPI) -> Iterator[None]:
    """The application between its start and its end."""
    with taking_work(), TestClient(app):
        yield
