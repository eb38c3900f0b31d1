"""From a call to a request, from a response to an answer or an exception; the same for both clients."""

from __future__ import annotations

import json
import random
import time
from collections.abc import Generator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal
from email.utils import parsedate_to_datetime
from typing import Any
from urllib.parse import quote

import httpx2

from witnessmark_client._answers import Answer, from_body
from witnessmark_client._exceptions import (
    TimeoutExceededError,
    TransportError,
    UnexpectedAnswerError,
    UnsendableError,
    from_problem,
)

PROBLEM = "application/problem+json"
JSON = "application/json"
OK = 200
PASSING = frozenset({429, 502, 503, 504})
"""Answers, of the service or of a proxy before it, that may be others at the next attempt."""
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
            arguments["content"] = _encoded(self.body)
            arguments["headers"]["content-type"] = JSON
        return arguments


def segment(text: str) -> str:
    """A text as one segment of a path."""
    try:
        return quote(text, safe="")
    except (TypeError, UnicodeError) as error:
        raise UnsendableError(f"the request cannot be written as an address: {error}") from None


def _encoded(body: dict[str, Any]) -> bytes:
    try:
        return json.dumps(body, allow_nan=False, default=_number).encode()
    except (TypeError, ValueError, RecursionError) as error:
        raise UnsendableError(f"the request cannot be written as JSON: {error}") from None


def _number(value: Any) -> Any:
    """Numbers and arrays of other libraries as Python's own. TypeError for anything else."""
    if isinstance(value, Decimal):
        return float(value)
    if hasattr(value, "tolist"):
        return value.tolist()
    raise TypeError(f"an object of type {type(value).__name__}")


@dataclass(frozen=True, slots=True)
class Retries:
    """How often to try again on 429, 502, 503, 504 or when the connection fails. Every operation may be sent twice.

    attempts: where the connection fails; refusals: where the service (or a proxy) asks to come again later;
    total: seconds for a call with all its attempts and waits. A wait that would end later is not begun.
    """

    attempts: int = 6
    refusals: int = 100
    first_wait: float = 0.2
    longest_wait: float = 30.0
    total: float = 120.0

    def wait(self, attempt: int, response: httpx2.Response | None) -> float:
        """Seconds before the next attempt: what the service asks for and up to half more, else doubling with jitter.

        The spread keeps those who were turned away together from coming back together.
        """
        asked = _asked(response.headers.get("retry-after", "")) if response is not None else None
        spread = random.uniform(0.5, 1.0)  # noqa: S311 - jitter
        if asked is not None:
            return asked * (0.5 + spread)
        return min(self.first_wait * 2.0**attempt * spread, self.longest_wait)


def _asked(text: str) -> float | None:
    """Seconds that Retry-After asks for, by number or by date (RFC 9110, 10.2.3); None where it is neither."""
    if text.isascii() and text.isdecimal():
        return float(text[:9])
    try:
        moment = parsedate_to_datetime(text)
    except (ValueError, OverflowError):
        return None
    moment = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    return max(0.0, (moment - datetime.now(UTC)).total_seconds())


@dataclass(slots=True)
class Patience:
    """What is left of a call's time."""

    total: float
    started: float = field(default_factory=time.monotonic)

    @property
    def left(self) -> float:
        """Seconds, 0 at the end."""
        return max(0.0, self.started + self.total - time.monotonic())

    def check(self) -> None:
        """TimeoutExceededError once the time is over."""
        if not self.left:
            raise TimeoutExceededError(f"the call took longer than {self.total:g} s")


def exchange(
    call: Call, retries: Retries, patience: Patience
) -> Generator[Call | float, httpx2.Response | httpx2.HTTPError | None, Answer]:
    """The whole exchange, whoever sends: yields the call, to be sent back what came of it, or seconds to wait.

    Returns the answer; raises what `understand` does, and TransportError where no answer came.
    """
    failed = refused = 0
    while retries.attempts > failed and retries.refusals > refused:
        outcome = yield call
        wait = retries.wait(failed + refused, outcome if isinstance(outcome, httpx2.Response) else None)
        if isinstance(outcome, httpx2.HTTPError):
            failed += 1
            if failed == retries.attempts or not isinstance(outcome, _LOST) or wait > patience.left:
                raise _no_answer(outcome) from outcome
        elif outcome is not None:
            refused += 1
            passing = outcome.status_code in PASSING and refused < retries.refusals
            if not passing or wait > patience.left:
                return understand(outcome, call.accept)
        yield wait
    raise TransportError("no attempt was allowed")


_LOST = (httpx2.NetworkError, httpx2.RemoteProtocolError)
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
    except (ValueError, RecursionError):
        raise UnexpectedAnswerError("the body is not JSON") from None
    if not isinstance(body, dict):
        raise UnexpectedAnswerError("the body is not an object")
    return body
