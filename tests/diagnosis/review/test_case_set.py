"""Reading and scoring of described cases."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.review.case_set import Described, Outcome, read_cases, run, score

TEXT = """
[[case]]
id = "reversed"
kind = "clean"
origin = "constructed"
source = "common-practice"
story = "roars"
machine = { compressor = "scroll", shell = "low-side", drive = "fixed-speed" }
channels = ["note"]
contexts = [["age", "under-1-year"]]
findings = { loud-from-start = "present", no-pressure-difference = "present", phase-rotation-wrong = "present" }
modes = ["reverse-rotation"]
causes = ["reversed-supply"]
not_modes = ["internal-bypass"]
verdicts = []
safety = ["wrong-rotation"]
"""


@pytest.fixture
def described(tmp_path: Path) -> Described:
    (tmp_path / "cases.toml").write_text(TEXT, "utf-8")
    (tmp_path / "notes.txt").write_text("not a case", "utf-8")
    (only,) = read_cases(tmp_path)
    return only


@pytest.fixture
def outcome(described: Described) -> Outcome:
    (only,) = run([described], diagnose)
    return only


def test_a_case_is_read_as_written(described: Described) -> None:
    assert described.case.machine.compressor == "scroll"
    assert next((r.finding, r.state) for r in described.case.findings) == ("loud-from-start", "present")
    assert described.case.circumstances == (("age", "under-1-year"),)
    assert described.safety == ("wrong-rotation",)


def test_places_count_from_one(outcome: Outcome) -> None:
    assert outcome.top == "reverse-rotation"
    assert outcome.place(["reverse-rotation", "wear-out"]) == 1
    assert outcome.place(["reversed-supply"], "causes") == 1
    assert outcome.place(["wear-out"]) > 1
    assert outcome.safe


def test_a_diagnosed_case_was_not_restrained(outcome: Outcome) -> None:
    assert outcome.answer.verdict.state == "diagnosed"
    assert not outcome.restrained


def test_restraint_asks_for_an_allowed_state_and_no_mode_read_in(outcome: Outcome) -> None:
    state = replace(outcome.answer.verdict, state="leading-candidates")
    quiet = replace(outcome, answer=replace(outcome.answer, verdict=state))
    assert quiet.restrained
    strict = replace(quiet, described=replace(quiet.described, verdicts=("not-enough-evidence",)))
    assert not strict.restrained
    wrong = replace(quiet, described=replace(quiet.described, not_modes=("reverse-rotation",)))
    assert not wrong.restrained


def test_a_rule_that_stays_silent_is_unsafe(outcome: Outcome) -> None:
    silent = replace(outcome, answer=replace(outcome.answer, safety=()))
    assert not silent.safe
    assert score([silent]).safety == 0.0


def test_scores_of_one_right_case(outcome: Outcome) -> None:
    """Worked by hand: one case, its mode first with probability p: Brier (1 - p)^2, one bin of (p, 1, 1)."""
    scores, p = score([outcome]), outcome.answer.modes[0].probability
    assert (scores.cases, scores.top_1, scores.top_3, scores.cause_1, scores.abstained) == (1, 1.0, 1.0, 1.0, 0.0)
    assert scores.brier == pytest.approx((1 - p) ** 2)
    assert scores.calibration == ((p, 1.0, 1),)


def test_scores_of_one_wrong_case(outcome: Outcome) -> None:
    wrong = replace(outcome, described=replace(outcome.described, modes=("wear-out",), causes=("surge",)))
    scores, p = score([wrong]), outcome.answer.modes[0].probability
    assert (scores.top_1, scores.cause_1, scores.right_when_diagnosed) == (0.0, 0.0, 0.0)
    assert scores.brier == pytest.approx(p**2)


def test_both_causes_must_be_named(outcome: Outcome) -> None:
    two = replace(outcome, described=replace(outcome.described, kind="two-causes"))
    assert score([two]).both_causes == 1.0
    other = replace(two, described=replace(two.described, causes=("reversed-supply", "drive-cooling")))
    assert score([other]).both_causes == 0.0
    assert other.place(["drive-cooling"], "causes") == len(other.answer.causes) + 1


def test_an_out_of_scope_case_must_not_be_diagnosed(outcome: Outcome) -> None:
    outside = replace(outcome, described=replace(outcome.described, kind="out-of-scope", modes=()))
    assert score([outside]).not_diagnosed == 0.0
    assert score([outside]).restrained == 0.0


def test_an_empty_set_scores_without_dividing_by_nothing() -> None:
    scores = score([])
    assert (scores.cases, scores.brier, scores.calibration) == (0, 0.0, ())
