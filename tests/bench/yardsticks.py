"""What the service is measured against: the least that the same server, and the same framework, can be asked to do.

Run: `python -m tests.bench.yardsticks bare|framework PORT`.
"""

from __future__ import annotations

import sys

import uvicorn
from fastapi import FastAPI
from pydantic import BaseModel
from starlette.types import Message, Receive, Scope, Send

from witnessmark.serving import server_settings
from witnessmark.settings import Settings

HEADERS = [(b"content-type", b"application/json"), (b"content-length", b"13")]
framework = FastAPI(telemetry={"tracing": False, "metrics": False, "logs": False})


async def bare(scope: Scope, receive: Receive, send: Send) -> None:
    """Reads the body and answers the same short JSON to everything."""
    if scope["type"] != "http":
        return
    while (await receive()).get("more_body"):
        pass
    start: Message = {"type": "http.response.start", "status": 200, "headers": HEADERS}
    await send(start)
    await send({"type": "http.response.body", "body": b'{"value":1.5}'})


class Given(BaseModel):
    """A reading."""

    refrigerant: str
    value: float
    unit: str


class Shown(BaseModel):
    """A number."""

    value: float


@framework.post("/")
async def double(given: Given) -> Shown:
    """Twice the value."""
    return Shown(value=2 * given.value)


if __name__ == "__main__":
    chosen = {"bare": bare, "framework": framework}[sys.argv[1]]
    uvicorn.run(chosen, **server_settings(Settings(host="127.0.0.1", port=int(sys.argv[2]), workers=1)))  # type: ignore[arg-type]
