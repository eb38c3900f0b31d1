"""Is the process alive, is it ready for work."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fastapi import APIRouter
from pydantic import BaseModel, Field
from starlette.responses import JSONResponse, Response

from witnessmark.api.problems import documented, respond
from witnessmark.api.warm_up import warm_up

router = APIRouter(tags=["operations"])
_NO_STORE = {"cache-control": "no-store"}


@dataclass(slots=True)
class Readiness:
    """Whether this process takes work: after warming up, until it drains."""

    ready: bool = False

    def warm(self) -> None:
        """Load and check the data files and the property library."""
        warm_up()
        self.ready = True

    def drain(self) -> None:
        """No more work."""
        self.ready = False


readiness = Readiness()


class Alive(BaseModel):
    """The process answers."""

    status: Literal["alive"] = Field(description="Always this word.")


class Ready(BaseModel):
    """The process takes work."""

    status: Literal["ready"] = Field(description="Always this word.")


@router.get("/livez", operation_id="livez", summary="Does the process answer", response_model=Alive)
async def livez() -> Response:
    """Answers as long as the process runs."""
    return JSONResponse({"status": "alive"}, headers=_NO_STORE)


@router.get(
    "/readyz",
    operation_id="readyz",
    summary="Does the process take work",
    response_model=Ready,
    responses=documented("unavailable"),
)
async def readyz() -> Response:
    """Answers 503 while the process warms up or drains."""
    if readiness.ready:
        return JSONResponse({"status": "ready"}, headers=_NO_STORE)
    return respond("unavailable", "warming up or draining", headers={"retry-after": "2"})
