"""How much one piece of work may take: whatever goes round many times asks here whether to go on."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Protocol


class AbandonedError(Exception):
    """Nobody waits for the result any longer. No InputError: a rule that sets a bad reading aside must not take it."""


class OverworkedError(Exception):
    """The work took all the processor time that one piece may have."""


class Bounds(Protocol):
    """What one piece may take: seconds of processor time; whether it is abandoned, asked anew each time."""

    @property
    def seconds(self) -> float: ...  # noqa: D102 - as above

    @property
    def abandoned(self) -> bool: ...  # noqa: D102 - as above


@dataclass(slots=True)
class Effort:
    """What one piece may take. seconds: processor time of its thread; abandoned: set by another thread to end it."""

    seconds: float
    abandoned: bool = False


class _Current(threading.local):
    """until: processor time of the thread; sooner: the moment before which it cannot have used that."""

    effort: Bounds | None = None
    until: float = 0.0
    sooner: float = 0.0


_current = _Current()


@contextmanager
def limited(effort: Bounds) -> Iterator[None]:
    """The work of this block, in this thread, ends with an error once it took too long or was abandoned."""
    _current.effort, _current.until = effort, time.thread_time() + effort.seconds
    _current.sooner = time.perf_counter() + effort.seconds
    try:
        yield
    finally:
        _current.effort = None


def check() -> None:
    """Go on, or end here: AbandonedError, OverworkedError. Less than a microsecond; nothing outside `limited`."""
    effort = _current.effort
    if effort is None:
        return
    if effort.abandoned:
        raise AbandonedError
    if time.perf_counter() > _current.sooner and time.thread_time() > _current.until:
        raise OverworkedError
