"""What the service is measured against: the least that the same server, and the same framework, can be asked to do.

`bare`: no framework; `framework`: a small model and nothing around it; `body`: the body model of `/v1/saturation`
handed back; `echo`: the same behind all that stands before the service's own routes (packing, headers, time limits,
counts, a log line). What the last two differ by is the cost of that.

Run: `python -m tests.bench.yardsticks bare|framework|body|echo PORT`.
"""

from __future__ import annotations

import sys

import uvicorn
from fastapi import FastAPI
from fastapi.telemetry import TelemetryConfig
from pydantic import BaseModel
from starlette.types import Message, Receive, Scope, Send

from witnessmark.api.app import outermost
from witnessmark.api.edge import logs
from witnessmark.api.schemas.saturation import SaturationRequest
from witnessmark.serving import server_settings
from witnessmark.settings import Settings

HEADERS = [(b"content-type", b"application/json"), (b"content-length", b"13")]
QUIET: TelemetryConfig = {"tracing": False, "metrics": False, "logs": False}
framework, body = FastAPI(telemetry=QUIET), FastAPI(telemetry=QUIET)


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


@body.post("/")
async def same(given: SaturationRequest) -> SaturationRequest:
    """What was sent."""
    return given


if __name__ == "__main__":
    logs.configure()
    chosen = {"bare": bare, "framework": framework, "body": body, "echo": outermost(body)}[sys.argv[1]]
    uvicorn.run(chosen, **server_settings(Settings(host="127.0.0.1", port=int(sys.argv[2]), workers=1)))  # type: ignore[arg-type]
