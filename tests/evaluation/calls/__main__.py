"""`python -m tests.evaluation.calls [open]`: order of calls, alarms, sound machines, checks; or the open misses."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator

from tests.evaluation.calls.calls import Part, Row, dispatched, first_goes_first, looked_at, of, stops
from tests.evaluation.vacuum.score import Share


def right_order(row: Row) -> bool:
    """The right call goes first."""
    return first_goes_first(row) == 1


def not_reversed(row: Row) -> bool:
    """The wrong call does not go first."""
    return first_goes_first(row) >= 0


def right_alarm(row: Row) -> bool:
    """Stopped where it must be, and nowhere else."""
    return stops(row) is bool(row["stop"])


def no_alarm(row: Row) -> bool:
    """A sound machine: no stop order and no safety rule."""
    outcome = dispatched(row["input"])
    return outcome["operation"]["advice"] != "stop" and not outcome["safety"]


def first_acceptable(row: Row) -> bool:
    """The first check is one that a technician would make."""
    return any(check & {*row["acceptable"]} for check in looked_at(row)[:1])


def one_acceptable(row: Row) -> bool:
    """One of the first three is."""
    return any(check & {*row["acceptable"]} for check in looked_at(row))


def none_foolish(row: Row) -> bool:
    """None of the first three is foolish."""
    return not any(check & {*row["foolish"]} - {*row["acceptable"]} for check in looked_at(row))


QUESTIONS: dict[str, tuple[str, Callable[[Row], bool], Callable[[Row], bool]]] = {
    "pairs in the right order": ("pair", right_order, lambda _: True),
    "pairs not reversed": ("pair", not_reversed, lambda _: True),
    "must stop: stopped": ("alarm", right_alarm, lambda row: bool(row["stop"])),
    "must not stop: not stopped": ("alarm", right_alarm, lambda row: not row["stop"]),
    "sound machines without alarm": ("healthy", no_alarm, lambda _: True),
    "first check acceptable": ("check", first_acceptable, lambda _: True),
    "one of three acceptable": ("check", one_acceptable, lambda _: True),
    "none of three foolish": ("check", none_foolish, lambda _: True),
}


def share(part: Part, question: str) -> Share:
    """How often the answer is right."""
    name, right, asked = QUESTIONS[question]
    chosen = [row for row in of(part, name) if asked(row)]
    return Share(sum(right(row) for row in chosen), len(chosen))


def missed(question: str) -> list[str]:
    """Ids of the open rows that are answered wrongly."""
    name, right, asked = QUESTIONS[question]
    return [row["id"] for row in of("open", name) if asked(row) and not right(row)]


def lines(parts: tuple[Part, ...] = ("open", "sealed")) -> Iterator[str]:
    """The table."""
    yield "| question | " + " | ".join(parts) + " |"
    yield "| --- |" + " --- |" * len(parts)
    for question in QUESTIONS:
        yield f"| {question} | " + " | ".join(str(share(part, question)) for part in parts) + " |"


if __name__ == "__main__":
    if sys.argv[1:] == ["open"]:
        for asked in QUESTIONS:
            sys.stdout.write(" ".join([asked, str(share("open", asked)), *missed(asked)]) + "\n")
    else:
        sys.stdout.write("\n".join(lines()) + "\n")
