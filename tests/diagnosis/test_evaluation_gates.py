"""The gates of the reasoning, on the shipped knowledge: calibration at home and elsewhere, restraint, next checks.

Sizes are those of a test suite; `python -m tests.evaluation` runs them larger. All of it is simulated:
it measures the engine and its restraint, never accuracy in the field. The figures of the gates stand here alone, so
that neither knowledge nor engine can move them.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from witnessmark.diagnosis.case import Channel
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.calibration import SURE, Claims, Outcome, measure
from witnessmark.diagnosis.evaluation.check_trials import gain, violations
from witnessmark.diagnosis.evaluation.process_pool import Crew
from witnessmark.diagnosis.evaluation.simulation import World, simulate

SEED = 20261125
FEW, MANY = 250, 400
ENOUGH = 20
"""Claims that a bin needs for its share to mean something."""


@cache
def ran(world: World, cases: int = FEW, *, fit: bool = False) -> Outcome:
    return measure(Crew(knowledge()), simulate(knowledge(), world, cases, SEED), fit=fit)


BANDS = [(5, 9), (10, 19), (25, 39)]
CHANNELS: list[Channel] = ["note", "form", "teardown"]


@pytest.mark.parametrize("band", BANDS)
def test_own_knowledge_is_calibrated(band: tuple[int, int]) -> None:
    out = ran(World(findings=band))
    assert out.modes.calibration_error <= 0.015
    assert out.causes.calibration_error <= 0.010


def test_what_is_claimed_with_nine_tenths_comes_true() -> None:
    """Over all bands and channels of the knowledge's own worlds together, since random findings seldom make sure."""
    worlds = [*(World(findings=band) for band in BANDS), *(World(findings=None, channel=c) for c in CHANNELS)]
    claims = [ran(world).modes.right_at(SURE) for world in worlds]
    number = sum(n for _, n in claims)
    right = sum(share * n for share, n in claims if n)
    assert number >= 60
    assert right / number >= 0.92


@pytest.mark.parametrize("channel", CHANNELS)
def test_biased_reporting_keeps_calibration(channel: Channel) -> None:
    out = ran(World(findings=None, channel=channel))
    assert out.modes.calibration_error <= 0.02


def test_wrong_reports_keep_calibration() -> None:
    out = ran(World(findings=(10, 19), flips=0.05))
    assert out.modes.calibration_error <= 0.015


def test_a_perturbed_world_keeps_calibration() -> None:
    out = ran(World(findings=(10, 19), sd=1.0), MANY)
    assert out.modes.calibration_error <= 0.03


def test_a_different_model_keeps_reliability_within_ten_points() -> None:
    """Every log-odds shifted by sd 1.0 and findings alike within a disturbance: nothing the knowledge holds."""
    worlds = [World(findings=band, sd=1.0, alike=0.5) for band in ((10, 25), (25, 39))]
    runs = [ran(world) for world in (*worlds, World(findings=None, channel="form", sd=1.0, alike=0.5))]
    for layer in ("modes", "causes"):
        several: list[Claims] = [getattr(run, layer) for run in runs]
        claims = Claims(np.concatenate([c.claimed for c in several]), np.concatenate([c.true for c in several]))
        bins = [one for one in claims.reliability if one[2] >= ENOUGH]
        assert len(bins) >= 9
        assert all(abs(claimed - true) <= 0.10 for claimed, true, _ in bins), bins


def test_an_unmodelled_mode_is_flagged_and_seldom_turned_into_a_sure_one() -> None:
    strange = ran(World(findings=(14, 14), strange=6), fit=True)
    usual = ran(World(findings=(14, 14)), fit=True)
    assert strange.flagged >= 0.25
    assert strange.wrongly_sure <= 0.06
    assert usual.flagged <= 0.10


def test_next_checks_are_ahead_of_random_ones_at_equal_minutes() -> None:
    found = gain(Crew(knowledge()), 60, 45.0, SEED)
    assert found.cases >= 40
    assert found.proposed >= found.random + 0.10


def test_next_checks_break_no_rule() -> None:
    assert violations(Crew(knowledge()), 250, SEED) == 0
