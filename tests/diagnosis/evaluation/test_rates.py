"""The five rates: every case ends in exactly one, and each in its own denominator."""

from __future__ import annotations

import itertools

import pytest

from witnessmark.diagnosis.evaluation.rates import HEAD, RATES, SOUND_HEAD, FiveRates, Rate, rate


@pytest.mark.parametrize(
    ("fault", "named", "right", "cleared", "expected"),
    [
        (True, True, True, False, "correct"),
        (True, True, False, False, "misdiagnosis"),
        (True, False, False, True, "missed"),
        (True, False, False, False, "no response"),
        (False, True, False, False, "false alarm"),
        (False, False, False, True, "correct"),
        (False, False, False, False, "no response"),
        (False, True, True, True, "false alarm"),
    ],
)
def test_which_of_the_five(fault: bool, named: bool, right: bool, cleared: bool, expected: Rate) -> None:  # noqa: FBT001 - a table's parameters
    """The definitions of Yuill & Braun 2013, from memory: a false alarm needs a sound machine, the others a fault."""
    assert rate(fault=fault, named=named, right=right, cleared=cleared) == expected


def test_no_case_is_left_without_a_rate() -> None:
    found = {rate(fault=a, named=b, right=c, cleared=d) for a, b, c, d in itertools.product((True, False), repeat=4)}
    assert found == set(RATES)


def test_shares_by_hand() -> None:
    """Four with a fault, two right and one missed; two sound, one accused. Wilson's ends of 1 of 2: 0.09 and 0.91."""
    pairs: list[tuple[bool, Rate]] = [(True, "correct"), (True, "correct"), (True, "missed"), (True, "no response")]
    rates = FiveRates.of([*pairs, (False, "false alarm"), (False, "correct")])
    assert rates.share("correct", fault=True).value == 0.5
    assert rates.share("correct", fault=False).value == 0.5
    cells = rates.cells()
    assert len(cells) == len(HEAD) + len(SOUND_HEAD)
    assert (cells[0], cells[len(HEAD)]) == ("4", "2")
    assert cells[1:5] == ("50% (15% to 85%)", "0% (0% to 49%)", "25% (5% to 70%)", "25% (5% to 70%)")
    assert cells[6:] == ("50% (9% to 91%)", "50% (9% to 91%)", "0% (0% to 66%)")


def test_nothing_is_said_of_no_case() -> None:
    assert FiveRates.of([]).cells() == ("0", "-", "-", "-", "-", "0", "-", "-", "-")
