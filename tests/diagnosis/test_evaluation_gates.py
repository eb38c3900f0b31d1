"""The gates of the reasoning that hold for every seed at the size of one run, on the shipped knowledge.

They stand in tests/evaluation/gates.py with their bounds and samples; `python -m tests.evaluation` runs them for twenty
seeds, and with them those that need all seeds together. All of it is simulated: it measures the engine and its
restraint, never accuracy in the field.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from tests.evaluation.gates import CRITERIA, NOTES, RULES, TRIALS, WRONG, Criterion, statistical

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.experiments import run
from witnessmark.diagnosis.evaluation.outcomes import Sample
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.scenarios import EXPERIMENTS, SEED, Sizes

LONG = {NOTES, WRONG, TRIALS}
"""Scenarios that take minutes: their gates run with the others in `make evaluation` only."""
EACH = [criterion for criterion in CRITERIA if criterion.each and not LONG.intersection(criterion.needs)]


@cache
def part(need: str) -> Sample:
    """One run of a scenario, of the trials or of the rules, at the size that the gates are meant for."""
    usual = Sizes()
    sizes = Sizes(usual.cases, usual.trials * (need == TRIALS), usual.checked // 2 * (need == RULES))
    return run(Pool(knowledge()), sizes, SEED, [need] if need in EXPERIMENTS else [])


def sample(criterion: Criterion) -> Sample:
    """What a gate looks at."""
    parts = [part(need) for need in criterion.needs]
    return replace(parts[0], outcomes={name: out for first in parts for name, out in first.outcomes.items()})


@pytest.mark.parametrize("criterion", EACH, ids=[one.name for one in EACH])
def test_the_gate_holds_and_what_knows_nothing_fails_it(criterion: Criterion) -> None:
    (gate,) = statistical([sample(criterion)], [criterion])
    assert gate.held, gate.measured
    assert gate.blind is not None
    assert not gate.blind.held, gate.blind.text


def test_what_every_gate_needs_is_measured() -> None:
    assert {need for criterion in CRITERIA for need in criterion.needs} == {*EXPERIMENTS, TRIALS, RULES}
