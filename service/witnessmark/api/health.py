"""Is the process alive, is it ready for work, what did it do so far."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from fastapi import APIRouter
from pydantic import BaseModel, Field
from starlette.responses import JSONResponse, Response

from witnessmark.api.edge import metrics
from witnessmark.api.problems import documented, respond
from witnessmark.api.warm_up import warm_up

router = APIRouter(tags=["operations"])
_NO_STORE = {"cache-control": "no-store"}
Stage = Literal["new", "warming", "ready", "draining"]


@dataclass(slots=True)
class Readiness:
    """Whether this process takes work: after warming up, until it drains."""

    stage: Stage = "new"

    @property
    def ready(self) -> bool:
        """Whether a balancer should send work."""
        return self.stage == "ready"

    @property
    def warming(self) -> bool:
        """Whether work is refused, since what it needs is being loaded by another thread."""
        return self.stage == "warming"

    def warm(self) -> None:
        """Load and check the data files and the property library, and take work."""
        self.stage = "warming"
        warm_up()
        self.warmed()

    def warmed(self) -> None:
        """All is loaded; told to drain meanwhile, it stays so."""
        if self.stage == "warming":
            self.stage = "ready"

    def drain(self) -> None:
        """No more work is asked for; what comes is done."""
        self.stage = "draining"


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


@router.get("/metrics", include_in_schema=False)
def counted() -> Response:
    """What was counted, for Prometheus: long once every operation was asked, so a thread writes it."""
    content, media_type = metrics.page()
    return Response(content, headers={**_NO_STORE, "content-type": media_type})
