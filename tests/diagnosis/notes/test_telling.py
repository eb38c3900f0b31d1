"""What the learned reader is told: rules, all danger as one, and numbers that settle nothing."""

from __future__ import annotations

from witnessmark.diagnosis.notes.matching import told_to_reader
from witnessmark.diagnosis.notes.model.reader import DANGER
from witnessmark.diagnosis.notes.telling import OPEN, is_danger


def outcomes(text: str) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for one in told_to_reader(text):
        found.setdefault(one.finding, set()).add(one.outcome)
    return found


def test_a_number_that_settles_nothing_is_told_as_open() -> None:
    """8 K of superheat is neither low nor high: nothing follows, and the reader should know that it was read."""
    assert outcomes("SH 8")["suction-superheat"] == {OPEN}
    assert OPEN not in outcomes("SH 2 K")["suction-superheat"]


def test_all_danger_is_told_as_one() -> None:
    assert outcomes("smoke from the panel")[DANGER] == {"present"}
    assert outcomes("no smell of gas")[DANGER] == {"absent"}
    assert DANGER not in outcomes("oil is black")


def test_what_is_danger() -> None:
    assert is_danger("smoke-seen")
    assert not is_danger("oil-burnt")
    assert not is_danger("no-such-finding")
