"""The service in the process of the tests, which goes on taking work when one of them has ended it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from fastapi import FastAPI
from starlette.testclient import TestClient
from starlette.types import ASGIApp, Receive, Scope, Send

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


def running_on(app: ASGIApp) -> ASGIApp:
    """The application for callers that start and end what they call: this one runs on, whatever they say."""

    async def called(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "lifespan":
            await app(scope, receive, send)
            return
        for told in ("startup", "shutdown"):
            await receive()
            await send({"type": f"lifespan.{told}.complete"})

    return called
