"""What comes back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from witnessmark_client._exceptions import UnexpectedAnswerError

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Answer:
    """The result and what stands beside it; `content` holds the bytes of an answer that is not JSON (a picture)."""

    result: Json
    assumptions: tuple[str, ...] = ()
    cautions: tuple[Json, ...] = ()
    sources: tuple[Json, ...] = ()
    uncertainty: Json | None = None
    model_version: Json | None = None
    content: bytes = b""
    media_type: str = "application/json"


def from_body(body: Json) -> Answer:
    """The answer for a JSON body; health checks have no `result`, so the whole body is theirs."""
    if "result" not in body:
        return Answer(body)
    if not isinstance(body["result"], dict):
        raise UnexpectedAnswerError("the result is not an object")
    if not all(isinstance(body.get(name) or [], list) for name in ("assumptions", "cautions", "sources")):
        raise UnexpectedAnswerError("what stands beside the result is not a list")
    return Answer(
        body["result"],
        tuple(body.get("assumptions") or ()),
        tuple(body.get("cautions") or ()),
        tuple(body.get("sources") or ()),
        body.get("uncertainty"),
        body.get("model_version"),
    )
