"""A denial that is turned by what stands beside it. Constructed."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.assertions.scope import Scope
from witnessmark.diagnosis.notes.assertions.turned import answers, surpassed
from witnessmark.diagnosis.notes.danger import hazards
from witnessmark.diagnosis.notes.matching import ruled_matches
from witnessmark.diagnosis.notes.scoring import clauses_of


def how(text: str) -> set[tuple[str, str | None]]:
    return {(m.state, m.unknown_because) for m in ruled_matches(text) if m.finding == "smoke-seen"}


@pytest.mark.parametrize(
    "text",
    [
        "no smoke here, my wife saw it",
        "no smoke here my wife did",
        "no smoke upstairs, downstairs yes",
        "no smoke until we reset it",
        "no smoke. the guard saw it",
        "nothing bad just smoke",
        "never such smoke",
        "you said to ring if it smokes, it does",
        "is it normal that it smokes",
        "quote please also it smokes",
    ],
)
def test_it_is_left_open(text: str) -> None:
    assert ("unknown", "unclear") in how(text)


@pytest.mark.parametrize(
    "text",
    [
        "no smoke here, my wife did not see any",
        "no smoke, the fan is running",
        "no smoke. nobody saw any",
        "no smoke where she is",
        "we saw no smoke",
    ],
)
def test_it_stays_denied(text: str) -> None:
    assert how(text) == {("absent", None)}


@pytest.mark.parametrize(
    "text", ["you said to ring if it smokes; so far it does not", "if it smokes leave", "would it be bad if it smoked"]
)
def test_a_condition_that_is_not_there_stays_one(text: str) -> None:
    assert how(text) == {("unknown", "advice or condition")}


def test_what_was_never_so_bad_is_there_though_it_is_no_danger() -> None:
    assert [(m.finding, m.state) for m in ruled_matches("never seen oil this black")] == [("oil-burnt", "present")]
    assert [(m.finding, m.state) for m in ruled_matches("oil not black")] == [("oil-burnt", "absent")]


def test_like_this_turns_only_what_never_was() -> None:
    (clause, by), *_ = clauses_of("no smoke like that here")
    scope = Scope(clause, tuple(hazards(clause)), by)
    assert surpassed(scope, scope.mentions[0], frozenset({0})) == frozenset()


@pytest.mark.parametrize(
    ("text", "says"),
    [("the guard saw it", True), ("she did", True), ("it does not", False), ("the fan is running", False)],
)
def test_a_short_sentence_answers(text: str, *, says: bool) -> None:
    (clause, _), *_ = clauses_of(text)
    assert answers(clause.sentence) is says
