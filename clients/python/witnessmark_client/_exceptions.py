"""What can go wrong.

* WitnessmarkError
  * TransportError            no answer came
    * TimeoutExceededError    none in time
  * UnsendableError           a request that cannot be written (NaN, half a character, an odd address); nothing was sent
  * UnexpectedAnswerError     an answer that is not the service's
  * ProblemError              the service answered a problem (RFC 9457); `.type`, `.status`, `.detail`, `.errors`
    * NotFoundError           404
    * RequestRefusedError     400, 401, 403, 405, 406, 408, 413, 415, 429: the request itself, or its key
    * InvalidInputError       422: the fields; `.pointers` says which
    * ServiceFaultError       5xx
      * UnavailableError      503, after the retries
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any


class WitnessmarkError(Exception):
    """Base of all."""


class TransportError(WitnessmarkError):
    """No answer came."""


class TimeoutExceededError(TransportError):
    """No answer came in time."""


class UnsendableError(WitnessmarkError):
    """A request that cannot be written: NaN, an object of another type, half a character, an odd address or header.

    Nothing was sent.
    """


class UnexpectedAnswerError(WitnessmarkError):
    """An answer that is not the service's, from a proxy for example."""


class ProblemError(WitnessmarkError):
    """The service answered a problem."""

    def __init__(self, problem: Mapping[str, Any]) -> None:
        self.type = str(problem.get("type", "about:blank"))
        self.status = int(problem["status"])
        self.detail = problem.get("detail")
        errors = problem.get("errors")
        whole = errors if isinstance(errors, list) else []
        self.errors: list[dict[str, str]] = [error for error in whole if isinstance(error, dict)]
        lines = [f"{e.get('pointer', '#')}: {e.get('detail', 'cannot be used')}" for e in self.errors]
        super().__init__("\n  ".join([f"{self.status} {self.type}: {self.detail or problem.get('title')}", *lines]))

    @property
    def pointers(self) -> list[str]:
        """Where in the request, as JSON Pointers in fragment form."""
        return [error.get("pointer", "#") for error in self.errors]


class NotFoundError(ProblemError):
    """404."""


class RequestRefusedError(ProblemError):
    """400, 401, 403, 405, 406, 408, 413, 415, 429: the request itself could not be taken, or its key is not enough."""


class InvalidInputError(ProblemError):
    """422: a field cannot be used; `.pointers` says which."""


class ServiceFaultError(ProblemError):
    """5xx: a fault of the service."""


class UnavailableError(ServiceFaultError):
    """503, still after the retries."""


_KINDS: dict[int, type[ProblemError]] = {404: NotFoundError, 422: InvalidInputError, 503: UnavailableError}
_FIRST_FAULT = 500


def from_problem(problem: Mapping[str, Any]) -> ProblemError:
    """The exception for a problem document."""
    status = int(problem["status"])
    fallback = ServiceFaultError if status >= _FIRST_FAULT else RequestRefusedError
    return _KINDS.get(status, fallback)(problem)
