"""Whose turn it is: slow work waits by caller and kind, and whoever had least of the time goes first.

Start-time fair queueing (Goyal, Vin and Cheng 1997) on two levels: callers among each other, and the kinds of work of
one caller among each other. One caller with a hundred pieces holds up another's single piece for the piece that runs.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

LONGEST_WAIT = 10.0
"""Seconds of expected work that may wait; what waited so long is turned away."""
MOST_WAITING = 500
"""Pieces, whatever they are expected to take: each holds its request in memory."""
OF_CALLER, OF_KIND = 2.0, 0.5
"""What one caller, and one kind of work of a caller, may hold of what is still free: a full queue always leaves a
third to those who come later."""


class FullError(Exception):
    """No room. seconds: all that waits is done by then, so that there is room if nobody else comes."""

    def __init__(self, seconds: int) -> None:
        super().__init__(seconds)
        self.seconds = seconds


@dataclass(slots=True)
class Pace:
    """How long a piece of one kind takes, s: the last ones count most."""

    seconds: float = 0.1

    def note(self, seconds: float) -> None:
        """Another piece took this long."""
        self.seconds += 0.2 * (seconds - self.seconds)


@dataclass(eq=False, slots=True)
class Ticket:
    """A piece of work that waits. expected: seconds."""

    caller: str
    kind: str
    expected: float


T = TypeVar("T", bound=Ticket)


@dataclass(slots=True)
class Turns:
    """What each had of the time, counted from where the others stood when it came."""

    _had: dict[str, float] = field(default_factory=dict)
    _now: float = 0.0

    def come(self, name: str) -> None:
        """Wait from now on: who was away does not save up."""
        self._had[name] = max(self._had.get(name, 0.0), self._now)

    def next(self, waiting: Iterable[str]) -> str:
        """Who had least of those that wait; the first of equals. Who is away and owes nothing is forgotten."""
        names = list(waiting)
        first = min(names, key=self._had.__getitem__)
        self._now = self._had[first]
        self._had = {name: had for name, had in self._had.items() if had > self._now or name in names}
        return first

    def charge(self, name: str, seconds: float) -> None:
        """It had so much."""
        self._had[name] = self._had.get(name, self._now) + seconds


@dataclass(slots=True)
class Line(Generic[T]):
    """The pieces that wait, and the one that runs, in order of turns. longest: seconds of expected work let in."""

    longest: float = LONGEST_WAIT
    _callers: Turns = field(default_factory=Turns)
    _kinds: dict[str, Turns] = field(default_factory=dict)
    _waiting: dict[str, dict[str, deque[T]]] = field(default_factory=dict)
    _held: dict[T, None] = field(default_factory=dict)

    def __len__(self) -> int:
        return sum(len(pieces) for kinds in self._waiting.values() for pieces in kinds.values())

    @property
    def expected(self) -> float:
        """Seconds of work that wait or run, as far as is known."""
        return sum(other.expected for other in self._held)

    def enter(self, ticket: T) -> None:
        """Wait. FullError where it would wait too long, or leave too little room to others."""
        self._refuse_if_full(ticket)
        self.put(ticket)

    def put(self, ticket: T) -> None:
        """Wait, whatever waits already: the next part of work that was let in."""
        kinds = self._waiting.setdefault(ticket.caller, {})
        if not kinds:
            self._callers.come(ticket.caller)
        if ticket.kind not in kinds:
            self._kinds.setdefault(ticket.caller, Turns()).come(ticket.kind)
        kinds.setdefault(ticket.kind, deque()).append(ticket)
        self._held[ticket] = None

    def take(self) -> T | None:
        """The piece whose turn it is; it holds its share until it is `done`."""
        if not self._waiting:
            return None
        caller = self._callers.next(self._waiting)
        kinds = self._waiting[caller]
        kind = self._kinds[caller].next(kinds)
        ticket = kinds[kind].popleft()
        self._tidy(ticket)
        return ticket

    def done(self, ticket: T, seconds: float) -> None:
        """It ran for so long."""
        self._callers.charge(ticket.caller, seconds)
        self._kinds.setdefault(ticket.caller, Turns()).charge(ticket.kind, seconds)
        self._forget(ticket)

    def leave(self, ticket: T) -> bool:
        """Wait no longer; False where it did not wait."""
        pieces = self._waiting.get(ticket.caller, {}).get(ticket.kind)
        if pieces is None or ticket not in pieces:
            return False
        pieces.remove(ticket)
        self._tidy(ticket)
        self._forget(ticket)
        return True

    def _tidy(self, ticket: T) -> None:
        kinds = self._waiting[ticket.caller]
        if not kinds[ticket.kind]:
            del kinds[ticket.kind]
        if not kinds:
            del self._waiting[ticket.caller]

    def _forget(self, ticket: T) -> None:
        self._held.pop(ticket, None)
        if not any(other.caller == ticket.caller for other in self._held):
            self._kinds.pop(ticket.caller, None)

    def _refuse_if_full(self, ticket: T) -> None:
        whole = self.expected
        of_caller = sum(other.expected for other in self._held if other.caller == ticket.caller)
        alike = [other for other in self._held if (other.caller, other.kind) == (ticket.caller, ticket.kind)]
        of_kind, free = sum(other.expected for other in alike), self.longest - whole
        fits = not self._held or ticket.expected <= free
        shared = of_caller + ticket.expected <= OF_CALLER * free and of_kind + ticket.expected <= OF_KIND * free
        if len(self._held) >= MOST_WAITING or not fits or not (shared or not alike):
            raise FullError(max(1, math.ceil(whole)))
