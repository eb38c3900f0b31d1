"""Trials of the next checks: the rules that are counted, and the two policies."""

from __future__ import annotations

import numpy as np
import pytest

from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.answer.next_checks import ranked
from witnessmark.diagnosis.answer.permitted import permitted
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.case import Case, Machine
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evaluation.experiments import at_random, breaks, proposed, trials, violations
from witnessmark.diagnosis.evaluation.outcomes import CLAIMED, RIGHT, joined
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.simulation import Luck
from witnessmark.diagnosis.result import Check

SCROLL = Machine("scroll", "low-side", "fixed-speed")


def check(
    needs: tuple[str, ...] = (), cautions: tuple[str, ...] = (), *, energised: bool = False, opens: bool = False
) -> Check:
    return Check("f", "", "finding", "look", "", 1.0, 0.0, (), needs, cautions, energised, opens, 0.1, 0.1, (), "")


@pytest.mark.parametrize(
    ("built", "forbids", "broken"),
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
def test_what_breaks_a_rule(
    built: Check,
    forbids: tuple[str, ...],
    broken: bool,  # noqa: FBT001 - a parameter of the table
) -> None:
    assert breaks(built, frozenset(forbids)) is broken


def test_policies(small: Knowledge) -> None:
    inquiry = inquire(small, Case(SCROLL))
    allowed = permitted(inquiry, notices(inquiry))
    assert proposed(inquiry, allowed) is ranked(inquiry, allowed)[0].finding
    orders = [at_random(allowed, Luck.of(1, "seed", number)).id for number in range(200)]
    assert set(orders) == {finding.id for finding, _ in allowed}


def test_a_check_that_is_added_changes_the_random_order_of_no_other(small: Knowledge) -> None:
    inquiry = inquire(small, Case(SCROLL))
    allowed = permitted(inquiry, notices(inquiry))
    for number in range(20):
        luck = Luck.of(1, "seed", number)
        first = at_random(allowed[1:], luck)
        assert at_random(allowed, luck) in (first, allowed[0][0])


def test_a_few_trials(small: Knowledge) -> None:
    alone = Pool(small)
    few = trials(alone, 30, 30.0, 1)
    assert 0 < len(few.proposed) <= 30
    assert few.proposed.shape == few.random.shape == few.random_again.shape == (len(few.proposed), 2)
    assert set(few.proposed[:, RIGHT]) <= {0.0, 1.0}
    assert ((few.proposed[:, CLAIMED] > 0) & (few.proposed[:, CLAIMED] < 1)).all()
    assert (few.random != few.random_again).any()
    assert few.gain(CLAIMED).value == pytest.approx((few.proposed - few.random)[:, CLAIMED].mean())
    assert few.gain(CLAIMED, by_chance=True).value == pytest.approx((few.random_again - few.random)[:, CLAIMED].mean())
    assert (trials(alone, 30, 30.0, 1).proposed == few.proposed).all()
    assert (joined([few, few]).random == np.concatenate([few.random, few.random])).all()


def test_rules_are_kept_and_would_be_broken_by_who_does_not_heed_them(shipped: Knowledge) -> None:
    assert violations(Pool(shipped), 20, 1) == 0
    assert violations(Pool(shipped), 20, 1, heeding=False) > 0


def test_trials_that_run_out_of_checks(small: Knowledge, monkeypatch: pytest.MonkeyPatch) -> None:
    """With all the time there is, and nothing ruled out by what was seen before, all policies end with the same.

    Otherwise they need not: a rule that fires, a machine that turns out to stand still, or a finding that says what
    another would say, rules out checks, so it matters what was done before.
    """
    monkeypatch.setattr("witnessmark.diagnosis.evaluation.experiments.notices", lambda _: ())
    monkeypatch.setattr("witnessmark.diagnosis.answer.situation._runs", lambda *_: None)
    monkeypatch.setattr("witnessmark.diagnosis.answer.situation._needless", lambda *_, **__: frozenset())
    endless = trials(Pool(small), 6, 1e6, 2)
    assert len(endless.proposed) > 0
    assert endless.proposed == pytest.approx(endless.random, abs=1e-6)
