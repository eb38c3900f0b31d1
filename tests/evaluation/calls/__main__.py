"""`python -m tests.evaluation.calls [open|page]`: order of calls, alarms, sound machines, next checks.

Without a word the totals; with `open` the open rows missed; with `page` docs/DISPATCH-CHECKS.md is written.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from tests.evaluation.calls.calls import Part, Row, dispatched, first_goes_first, looked_at, of, stops
from tests.evaluation.vacuum.score import Share
from witnessmark import data


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


@cache
def commonest() -> str:
    """The check that is acceptable most often in the open part."""
    return str(Counter(check for row in of("open", "check") for check in row["acceptable"]).most_common(1)[0][0])


def by_nothing(question: str, row: Row) -> bool:
    """Whether an answer that knows nothing is right: every call alike, never stop, always the commonest check."""
    check = commonest()
    answers = {
        "pairs in the right order": False,
        "pairs not reversed": True,
        "must stop: stopped": False,
        "must not stop: not stopped": True,
        "sound machines without alarm": True,
    }
    if question == "none of three foolish":
        return check not in {*row["foolish"]} - {*row["acceptable"]}
    return answers[question] if question in answers else check in row["acceptable"]


def knowing_nothing(part: Part, question: str) -> Share:
    """How often the answer that knows nothing is right."""
    name, _, asked = QUESTIONS[question]
    chosen = [row for row in of(part, name) if asked(row)]
    return Share(sum(by_nothing(question, row) for row in chosen), len(chosen))


def missed(question: str) -> list[str]:
    """Ids of the open rows that are answered wrongly."""
    name, right, asked = QUESTIONS[question]
    return [row["id"] for row in of("open", name) if asked(row) and not right(row)]


PARTS: tuple[Part, ...] = ("open", "sealed")


def lines(parts: tuple[Part, ...] = PARTS) -> Iterator[str]:
    """The table."""
    yield "| question | " + " | ".join(parts) + " |"
    yield "| --- |" + " --- |" * len(parts)
    for question in QUESTIONS:
        yield f"| {question} | " + " | ".join(str(share(part, question)) for part in parts) + " |"


PAGE = Path("docs/DISPATCH-CHECKS.md")
INTRODUCTION = """\
# Order of calls, stop orders and next checks

*Written by `python -m tests.evaluation.calls page` from `tests/evaluation/calls`; do not edit here.*

The rows were **constructed, not collected in the field**, and no practitioner labelled them. Their writers knew the
public wording of the findings and nothing of the rules. The open part is for development: the rules were mended on its
misses, so its shares flatter. Of the sealed part only totals are read. Intervals: Clopper and Pearson, 95 %.

The columns *nothing* belong to an answer that knows nothing: every call alike, never stop, always the commonest check
of the open part. It is right wherever silence is: only a question that it fails says something on its own.
"""


def page() -> str:
    """docs/DISPATCH-CHECKS.md."""
    rows = [
        f"| {question} | "
        + " | ".join(f"{share(part, question)} | {knowing_nothing(part, question).value:.0%}" for part in PARTS)
        + " |"
        for question in QUESTIONS
    ]
    head = ["| question | open | nothing | sealed | nothing |", "| --- | --- | --- | --- | --- |"]
    version = f"Knowledge {data.version()}."
    return "\n".join([INTRODUCTION, *head, *rows, "", version]) + "\n"


if __name__ == "__main__":
    if sys.argv[1:] == ["page"]:
        PAGE.write_text(page(), encoding="utf-8")
    elif sys.argv[1:] == ["open"]:
        for asked in QUESTIONS:
            sys.stdout.write(" ".join([asked, str(share("open", asked)), *missed(asked)]) + "\n")
    else:
        sys.stdout.write("\n".join(lines()) + "\n")
