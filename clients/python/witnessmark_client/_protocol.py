"""From a call to a request, from a response to an answer or an exception; the same for both clients."""

from __future__ import annotations

import json
import random
from collections.abc import Generator
from dataclasses import dataclass, field
from typing import Any

import httpx2

from witnessmark_client._answers import Answer, from_body
from witnessmark_client._exceptions import TimeoutExceededError, TransportError, UnexpectedAnswerError, from_problem

PROBLEM = "application/problem+json"
JSON = "application/json"
OK = 200
UNAVAILABLE = 503
FIRST_ERROR = 400


@dataclass(frozen=True, slots=True)
class Call:
    """One operation to perform."""

    method: str
    path: str
    body: dict[str, Any] | None = None
    query: dict[str, str] = field(default_factory=dict)
    accept: str = JSON

    def arguments(self) -> dict[str, Any]:
        """The arguments of the HTTP client's `request`."""
        arguments: dict[str, Any] = {"method": self.method, "url": self.path, "headers": {"accept": self.accept}}
        if self.query:
            arguments["params"] = self.query
        if self.body is not None:
            arguments["content"] = json.dumps(self.body, allow_nan=False).encode()
            arguments["headers"]["content-type"] = JSON
        return arguments


@dataclass(frozen=True, slots=True)
class Retries:
    """How often to try again on 503 or when the connection fails. Every operation may be sent twice."""

    attempts: int = 6
    first_wait: float = 0.2
    longest_wait: float = 30.0

    def wait(self, attempt: int, response: httpx2.Response | None) -> float:
        """Seconds before the next attempt: what the service asks for and up to half more, else doubling with jitter.

        The spread keeps those who were turned away together from coming back together.
        """
        asked = response.headers.get("retry-after", "") if response is not None else ""
        spread = random.uniform(0.5, 1.0)  # noqa: S311 - jitter
        if asked.isascii() and asked.isdecimal():
            return min(float(asked) * (0.5 + spread), self.longest_wait)
        return min(self.first_wait * 2.0**attempt * spread, self.longest_wait)


def exchange(
    call: Call, retries: Retries
) -> Generator[Call | float, httpx2.Response | httpx2.HTTPError | None, Answer]:
    """The whole exchange, whoever sends: yields the call, to be sent back what came of it, or seconds to wait.

    Returns the answer; raises what `understand` does, and TransportError where no answer came.
    """
    for attempt in range(retries.attempts):
        last = attempt + 1 == retries.attempts
        outcome = yield call
        if isinstance(outcome, httpx2.HTTPError):
            if last or not isinstance(outcome, _PASSING):
                raise _no_answer(outcome) from outcome
            outcome = None
        elif outcome is not None and (last or outcome.status_code != UNAVAILABLE):
            return understand(outcome, call.accept)
        yield retries.wait(attempt, outcome)
    raise TransportError("no attempt was allowed")


_PASSING = (httpx2.NetworkError, httpx2.RemoteProtocolError)
"""Faults that may be gone at the next attempt."""


def _no_answer(error: httpx2.HTTPError) -> TransportError:
    kind = TimeoutExceededError if isinstance(error, httpx2.TimeoutException) else TransportError
    return kind(f"{type(error).__name__}: {error}")


def without_none(**fields: Any) -> dict[str, Any]:
    """The fields that were without_none; None stands for not without_none."""
    return {name: value for name, value in fields.items() if value is not None}


def understand(response: httpx2.Response, accept: str = JSON) -> Answer:
    """The answer, or the exception for a problem or for what is neither JSON nor of the type asked for."""
    media = response.headers.get("content-type", "").partition(";")[0].strip()
    if response.status_code >= FIRST_ERROR:
        raise _problem(response, media)
    if response.status_code != OK or media not in {JSON, accept}:
        raise _unexpected(response, media)
    if media != JSON:
        return Answer({}, content=response.content, media_type=media)
    return from_body(_json(response))


def _problem(response: httpx2.Response, media: str) -> Exception:
    if media != PROBLEM:
        return _unexpected(response, media)
    return from_problem({**_json(response), "status": response.status_code})


def _unexpected(response: httpx2.Response, media: str) -> UnexpectedAnswerError:
    return UnexpectedAnswerError(f"status {response.status_code} with {media or 'no media type'}")


def _json(response: httpx2.Response) -> dict[str, Any]:
    try:
        body = response.json()
    except ValueError:
        raise UnexpectedAnswerError("the body is not JSON") from None
    if not isinstance(body, dict):
        raise UnexpectedAnswerError("the body is not an object")
    return body
