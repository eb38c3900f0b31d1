"""The gates of the reasoning that hold for every seed at the size of one run, on the shipped knowledge.

They stand in tests/evaluation/gates.py with their bounds and samples; `python -m tests.evaluation` runs them for twenty
seeds, and with them those that need all seeds together. All of it is simulated: it measures the engine and its
restraint, never accuracy in the field.
"""

from __future__ import annotations

from functools import cache

import pytest
from tests.evaluation.gates import IN_SUITE, SUITE, Gate, statistical

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation.experiments import SEED, Sizes, run
from witnessmark.diagnosis.evaluation.process_pool import Pool


@cache
def judged() -> dict[str, Gate]:
    """The gates over one run."""
    sample = run(Pool(knowledge()), Sizes(checked=250), SEED, SUITE)
    return {gate.name: gate for gate in statistical([sample], IN_SUITE)}


@pytest.mark.parametrize("name", [criterion.name for criterion in IN_SUITE])
def test_the_gate_holds_and_what_knows_nothing_fails_it(name: str) -> None:
    gate = judged()[name]
    assert gate.held, gate.measured
    assert gate.blind is not None
    assert not gate.blind.held, gate.blind.text
