"""Gates on the judged calls: the unfavourable end of the interval of what was reached, never above it.

The figures stand in docs/DISPATCH-CHECKS.md, with the same rows, constructed and not collected in the field.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tests.evaluation.calls.__main__ import PARTS, QUESTIONS, knowing_nothing, share
from tests.evaluation.calls.calls import Part

GATES: Mapping[Part, Mapping[str, float]] = {
    "open": {
        "pairs in the right order": 0.739,
        "pairs not reversed": 0.739,
        "must stop: stopped": 0.765,
        "must not stop: not stopped": 0.673,
        "sound machines without alarm": 0.833,
        "first check acceptable": 0.907,  # 59 of 65; 60 before readings within the sound range lost their voice
        "one of three acceptable": 0.944,
        "none of three foolish": 0.917,
    },
    "sealed": {
        "pairs in the right order": 0.753,
        "pairs not reversed": 0.753,
        "must stop: stopped": 0.710,
        "must not stop: not stopped": 0.891,
        "sound machines without alarm": 0.602,
        "first check acceptable": 0.629,
        "one of three acceptable": 0.800,
        "none of three foolish": 0.935,
    },
}
"""Part and question -> least share."""
TELLING = (
    "pairs in the right order",
    "must stop: stopped",
    "first check acceptable",
    "one of three acceptable",
)
"""Questions that nobody answers by silence."""


@pytest.mark.slow
@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("question", QUESTIONS)
def test_what_was_reached_is_kept(part: Part, question: str) -> None:
    assert share(part, question).value >= GATES[part][question]


@pytest.mark.parametrize("part", PARTS)
@pytest.mark.parametrize("question", TELLING)
def test_who_knows_nothing_fails(part: Part, question: str) -> None:
    assert knowing_nothing(part, question).value < GATES[part][question]


def test_every_question_has_a_gate() -> None:
    assert all(GATES[part].keys() == QUESTIONS.keys() for part in PARTS)
