"""Trials of the next checks: the rules that are counted, and the two policies."""

from __future__ import annotations

import numpy as np
import pytest

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.next_checks import permitted, ranked
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.case import Case, Machine
from witnessmark.diagnosis.catalogue.knowledge import Knowledge
from witnessmark.diagnosis.evaluation.check_trials import at_random, breaks, gain, proposed, run, table, violations
from witnessmark.diagnosis.evaluation.process_pool import Crew
from witnessmark.diagnosis.result import Check

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def check(
    needs: tuple[str, ...] = (), cautions: tuple[str, ...] = (), *, energised: bool = False, opens: bool = False
) -> Check:
    return Check("f", "", 1.0, 0.0, (), needs, cautions, energised, opens, 0.1, 0.1, (), "")


@pytest.mark.parametrize(
    ("made", "forbids", "broken"),
    [
        (check(), (), False),
        (check(energised=True, cautions=("live-measurement",)), (), False),
        (check(energised=True), (), True),
        (check(energised=True, cautions=("live-measurement",)), ("energise",), True),
        (check(("compressor-runs",), ("live-measurement",)), ("energise",), True),
        (check(opens=True, cautions=("refrigerant-release",)), (), False),
        (check(opens=True), (), True),
        (check(("circuit-open",), ("refrigerant-release",)), ("open-circuit",), True),
        (check(("power-off", "compressor-runs"), ("live-measurement",)), (), True),
        (check(("compressor-runs",), ("live-measurement",)), ("start",), True),
        (check(energised=True, cautions=("live-measurement",)), ("start",), False),
    ],
)
def test_what_breaks_a_rule(made: Check, forbids: tuple[str, ...], broken: bool) -> None:  # noqa: FBT001 - a table's parameter
    assert breaks(made, frozenset(forbids)) is broken


def test_policies(small: Knowledge) -> None:
    inquiry, rng = inquire(small, Case(SCROLL)), np.random.default_rng(1)
    allowed = permitted(inquiry, notices(inquiry))
    assert at_random(inquiry, allowed, rng).id in {finding.id for finding, _ in allowed}
    assert proposed(inquiry, allowed, rng) is ranked(inquiry, allowed)[0].finding


def test_a_few_trials(small: Knowledge) -> None:
    alone = Crew(small)
    found = gain(alone, 12, 30.0, 1)
    assert 0 < found.cases <= 12
    assert 0 <= found.random <= 1
    assert 0 <= found.proposed <= 1
    assert gain(alone, 12, 30.0, 1) == found
    assert violations(alone, 20, 1) == 0
    tested = run(alone, 12, 20, 1)
    assert (tested.broken, tested.checked) == (0, 20)
    assert table(tested).count("\n") == 4


def test_trials_that_run_out_of_checks(small: Knowledge) -> None:
    assert gain(Crew(small), 6, 1e6, 2).cases > 0
