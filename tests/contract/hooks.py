"""Own checks of the fuzzing run, loaded by schemathesis."""

from __future__ import annotations

from typing import Any

import schemathesis

UNPROCESSABLE = 422


@schemathesis.check
def honest_refusal(ctx: Any, response: Any, case: Any) -> None:  # noqa: ARG001 - the signature is schemathesis's
    """Data that fits the schema is never refused as a schema fault."""
    if response.status_code != UNPROCESSABLE or case.meta is None or not case.meta.generation.mode.is_positive:
        return
    problem = response.json()
    if problem["type"] == "/problems/invalid-input" and not _said_by_a_rule(problem):
        raise AssertionError(f"fits the schema, yet refused as a schema fault: {problem}")


def _said_by_a_rule(problem: dict[str, Any]) -> bool:
    """Rules between fields (one of two, not both) cannot be written in the schema; its own faults have these words."""
    return not any(error["detail"].startswith(("is required", "no such", "should ")) for error in problem["errors"])


@schemathesis.check
def problems_are_whole(ctx: Any, response: Any, case: Any) -> None:  # noqa: ARG001 - the signature is schemathesis's
    """Every refusal is an RFC 9457 problem with pointers in fragment form."""
    if response.status_code < 400:
        return
    problem = response.json()
    assert response.headers["content-type"] == ["application/problem+json"]
    assert problem["status"] == response.status_code
    assert all(error["pointer"].startswith("#") for error in problem.get("errors", []))


@schemathesis.serializer("text/csv", "application/x-ndjson", "application/vnd.apache.arrow.stream")
def as_it_is(ctx: Any, value: Any) -> Any:  # noqa: ARG001 - the signature is schemathesis's
    """Rows in a form that it does not know: the text, or the bytes, that it made."""
    return value if isinstance(value, bytes) else str(value).encode("utf-8", "surrogateescape")
