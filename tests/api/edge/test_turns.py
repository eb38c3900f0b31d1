"""Whose turn it is, and who is let in."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.api.edge.turns import LONGEST_WAIT, MOST_WAITING, FullError, Line, Pace, Ticket


def let_in(line: Line[Ticket], caller: str, kind: str, expected: float) -> int:
    """How many such pieces are let in, one after the other."""
    for count in range(10_000):
        try:
            line.enter(Ticket(caller, kind, expected))
        except FullError:
            return count
    raise AssertionError("no end of it")


def served(line: Line[Ticket], seconds: float) -> list[tuple[str, str]]:
    """Caller and kind of every piece, each taking so long."""
    order = []
    while (ticket := line.take()) is not None:
        line.done(ticket, seconds)
        order.append((ticket.caller, ticket.kind))
    return order


def test_one_caller_cannot_fill_the_line() -> None:
    line: Line[Ticket] = Line()
    held = sum(let_in(line, "hog", f"kind {k}", 0.1) * 0.1 for k in range(20))
    assert held <= LONGEST_WAIT * 2 / 3 + 20 * 0.1  # a kind that has nothing in it gets one piece
    assert let_in(line, "other", "diagnosis", 0.1) >= 1


def test_seconds_count_not_pieces() -> None:
    cheap, dear = Line[Ticket](), Line[Ticket]()
    assert let_in(cheap, "a", "x", 0.01) == pytest.approx(10 * let_in(dear, "a", "x", 0.1), rel=0.05)


def test_a_single_piece_is_let_in_however_long_it_may_take() -> None:
    line: Line[Ticket] = Line()
    line.enter(Ticket("a", "x", 1e3))
    with pytest.raises(FullError) as full:
        line.enter(Ticket("b", "y", 0.1))
    assert full.value.seconds == 1000


def test_the_number_is_bounded_whatever_they_take() -> None:
    line: Line[Ticket] = Line()
    assert sum(let_in(line, f"caller {k}", "x", 0.0) for k in range(3)) == MOST_WAITING


def test_after_the_time_that_is_told_there_is_room() -> None:
    line: Line[Ticket] = Line()
    count = let_in(line, "a", "x", 0.1)
    with pytest.raises(FullError) as full:
        line.enter(Ticket("a", "x", 0.1))
    assert full.value.seconds >= count * 0.1
    served(line, 0.1)
    line.enter(Ticket("a", "x", 0.1))


def test_callers_take_turns_and_so_do_the_kinds_of_one() -> None:
    line: Line[Ticket] = Line()
    for caller, kind in [("a", "x")] * 4 + [("a", "y")] * 2 + [("b", "x")] * 3:
        line.put(Ticket(caller, kind, 0.1))
    order = served(line, 0.1)
    assert [caller for caller, _ in order[:6]] == ["a", "b"] * 3
    assert {kind for caller, kind in order[:6] if caller == "a"} == {"x", "y"}


def test_seconds_are_shared_not_turns() -> None:
    """Whoever brings long pieces gets fewer of them."""
    line: Line[Ticket] = Line()
    for _ in range(10):
        line.put(Ticket("long", "x", 1.0))
        line.put(Ticket("short", "x", 0.1))
    had = {"long": 0.0, "short": 0.0}
    while len(line) > 8:
        ticket = line.take()
        assert ticket is not None
        line.done(ticket, ticket.expected)
        had[ticket.caller] += ticket.expected
        if had["short"] < 1.0:
            assert had["long"] <= had["short"] + 1.0 + 1e-9


def test_who_was_away_does_not_save_up() -> None:
    line: Line[Ticket] = Line()
    for _ in range(20):
        line.put(Ticket("steady", "x", 0.1))
    for _ in range(10):
        ticket = line.take()
        assert ticket is not None
        line.done(ticket, 0.1)
    for _ in range(10):
        line.put(Ticket("late", "x", 0.1))
    order = [caller for caller, _ in served(line, 0.1)]
    assert order[:6].count("late") == 3


def test_who_leaves_is_not_taken_and_holds_nothing() -> None:
    line: Line[Ticket] = Line()
    staying, leaving = Ticket("a", "x", 1.0), Ticket("a", "x", 9.0)
    line.put(staying)
    line.put(leaving)
    assert (len(line), line.leave(leaving), line.leave(leaving), len(line)) == (2, True, False, 1)
    line.enter(Ticket("b", "x", 1.0))
    assert line.take() is staying
    assert line.leave(staying) is False


def test_an_empty_line_has_no_next() -> None:
    assert Line[Ticket]().take() is None


def test_the_pace_follows_the_last_pieces() -> None:
    pace = Pace(0.25)
    for _ in range(100):
        pace.note(0.5)
    assert pace.seconds == pytest.approx(0.5)


@given(
    st.lists(st.tuples(st.sampled_from("abc"), st.sampled_from("xyz"), st.floats(0.0, 3.0), st.booleans()), max_size=60)
)
def test_nothing_is_lost_and_nothing_served_twice(steps: list[tuple[str, str, float, bool]]) -> None:
    line, waiting = Line[Ticket](), set[Ticket]()
    for caller, kind, seconds, comes in steps:
        if comes:
            ticket = Ticket(caller, kind, seconds)
            with suppress(FullError):
                line.enter(ticket)
                waiting.add(ticket)
        elif (taken := line.take()) is not None:
            assert taken in waiting
            waiting.remove(taken)
            line.done(taken, seconds)
        assert len(line) == len(waiting)
