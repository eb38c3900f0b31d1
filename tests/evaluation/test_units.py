"""Simulated readings of one air conditioner: what a baseline finds, and that nothing is accused without reason.

Outside: the signs of Rossi & Braun 1997 (`tests.evaluation.units`); the sizes are ours. The full table stands in
docs/EVALUATION.md; here are fewer units, and the gates ask the unfavourable end of the interval.
"""

from __future__ import annotations

from tests.evaluation.units import FAULTS, REFERENCES, SEVERITIES, lines, outcomes, rates, units

FEW = 4


def test_every_unit_is_judged_once_by_each_reference() -> None:
    found = outcomes(FEW)
    made = len(list(units(FEW)))
    assert made == FEW * len(SEVERITIES) * (len(FAULTS) + 1)
    assert len(found) == made * len(REFERENCES)
    assert rates(FEW, "own baseline", 1.0).faulty.total() == FEW * len(FAULTS)
    assert rates(FEW, "own baseline").sound.total() == FEW * len(SEVERITIES)


def test_the_baseline_finds_the_fault() -> None:
    """Who always names the commonest of five faults is right in 20 %."""
    assert rates(FEW, "own baseline", 1.0).share("correct", fault=True).low > 0.40


def test_no_wrong_fault_is_acted_on() -> None:
    """Worst wrong answer: the charge is changed on a machine whose filter is dirty."""
    for reference in REFERENCES:
        assert rates(FEW, reference).share("misdiagnosis", fault=True).high < 0.20
        assert rates(FEW, reference).share("false alarm", fault=False).value == 0.0


def test_the_table_has_every_fault() -> None:
    assert len(lines(FEW).splitlines()) == 2 + len(SEVERITIES) * len(REFERENCES) + len(FAULTS) * len(REFERENCES)
