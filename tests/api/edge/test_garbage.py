"""What is taken out of the search for garbage, and when."""

from __future__ import annotations

import gc
import time
from collections.abc import Iterator

import pytest

from witnessmark.api.edge import garbage
from witnessmark.api.edge.garbage import LONGEST, MOST, SELDOM, Searches
from witnessmark.api.edge.in_flight import Exchange, InFlight


class Interpreter:
    """Counts what it is told; a full search takes the seconds that it is given."""

    def __init__(self) -> None:
        self.frozen, self.now, self.in_flight = 0, 0.0, InFlight()

    def freeze(self) -> None:
        self.frozen += 1

    def search(self, searches: Searches, seconds: float, generation: int = 2) -> None:
        searches("start", {"generation": generation})
        self.now += seconds
        searches("stop", {"generation": generation})


@pytest.fixture
def interpreter(monkeypatch: pytest.MonkeyPatch) -> Interpreter:
    made = Interpreter()
    monkeypatch.setattr(gc, "freeze", made.freeze)
    monkeypatch.setattr(time, "thread_time", lambda: made.now)
    monkeypatch.setattr(garbage, "in_flight", made.in_flight)
    return made


@pytest.mark.parametrize(
    ("seconds", "generation", "times"), [(2 * LONGEST, 2, 1), (0.5 * LONGEST, 2, 0), (2 * LONGEST, 1, 0)]
)
def test_only_a_full_search_that_took_long_shortens_the_next(
    seconds: float, generation: int, times: int, interpreter: Interpreter
) -> None:
    searches = Searches()
    interpreter.search(searches, seconds, generation)
    searches.shorten()
    searches.shorten()
    assert interpreter.frozen == times


def test_what_a_request_holds_is_not_kept_for_ever(interpreter: Interpreter) -> None:
    searches = Searches()
    interpreter.search(searches, 1.0)
    interpreter.in_flight.exchanges.add(Exchange(None))
    searches.shorten()
    assert interpreter.frozen == 0
    interpreter.in_flight.exchanges.clear()
    searches.shorten()
    assert interpreter.frozen == 1


def test_it_is_done_a_bounded_number_of_times(interpreter: Interpreter) -> None:
    searches = Searches()
    for _ in range(2 * MOST):
        interpreter.search(searches, 1.0)
        searches.shorten()
    assert interpreter.frozen == MOST


@pytest.fixture
def as_before() -> Iterator[None]:
    thresholds, callbacks = gc.get_threshold(), list(gc.callbacks)
    yield
    gc.set_threshold(*thresholds)
    gc.callbacks[:] = callbacks


@pytest.mark.usefixtures("as_before")
def test_it_is_asked_at_every_search_once(interpreter: Interpreter) -> None:
    first, second, _ = gc.get_threshold()
    garbage.settle()
    garbage.watch()
    garbage.watch()
    assert gc.callbacks.count(garbage.searches) == 1
    assert gc.get_threshold() == (first, second, SELDOM)
    assert interpreter.frozen == 3
