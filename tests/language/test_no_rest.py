"""Nothing that people read in another language is left in English: fails on the next text that nobody translated."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from tests.language.untold import rests

from witnessmark.api.routes.case_forms import (
    answer_of_check,
    answer_of_finding,
    answer_to,
    asked_at,
    asked_together,
    worded,
)
from witnessmark.casework import open_questions, stages
from witnessmark.casework.cuts import CUTS
from witnessmark.casework.places import field_of
from witnessmark.casework.twofold import TWICE
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.phrases import lower
from witnessmark.language.catalogue import FIRST, Language, translator
from witnessmark.restart.gate import TABLE
from witnessmark.vocabulary import words

OTHERS = tuple(language for language in words(Language) if language != FIRST)
ZONES = "site.time_zone"


def left(texts: Iterator[str], language: Language) -> set[str]:
    say = translator(language)
    return {text for text in texts if text and rests(text, say(text))}


def asked() -> Iterator[str]:
    """Every question that this service asks by itself, and why."""
    parts = open_questions
    yield from (text for _, text in (*parts.ALWAYS, *stages.READ, *stages.LATER, *parts.BEFORE_START))
    yield from (text for _, text, _ in parts.PROOFS)
    yield from parts.ASKED.values()
    yield from (parts.OVER, parts.KEPT_OFF, parts.NO_POWER_YET, parts.SAID)
    for proof in (*stages.PROOFS.values(), stages._LINE):  # noqa: SLF001 - the one for single-phase machines
        yield proof.text
        yield from (text for _, text in proof.beside)
    for check in TABLE().checks.values():
        yield f"{check.title}: is that so?"
    for finding in knowledge().findings.values():
        yield f"{finding.text}? {finding.check.how}" if finding.check else finding.text
    for state in ("missing", "failed", "conflicting"):
        yield f"Required before a start; now: {state}."
    for what in ("time", "hour meter"):
        yield TWICE.format(first=1, second=2, what=what)


@pytest.mark.parametrize("language", OTHERS)
def test_every_question_is_told(language: Language) -> None:
    assert left(asked(), language) == set()


def labels(part: Any) -> Iterator[str]:
    if isinstance(part, dict):
        yield from (value for key, value in part.items() if key == "label")
        part = list(part.values())
    if isinstance(part, list):
        for inner in part:
            yield from labels(inner)


def fields() -> Iterator[str]:
    """Every field that is asked for: always, by stage, for a part, and what proves a check."""
    parts = open_questions
    told = [path for path, _ in (*parts.ALWAYS, *stages.READ, *stages.LATER, *parts.BEFORE_START)]
    told += [path for path, _, _ in parts.PROOFS]
    told += [*parts.ASKED, "work_done.0", "before_start.pressure_tests.0"]
    for proof in (*stages.PROOFS.values(), stages._LINE):  # noqa: SLF001 - the one for single-phase machines
        told += [proof.field, *(f"{proof.field}.{name}" for name, _ in proof.beside)]
    for cut in CUTS.values():
        told += [source for source, target in cut.moves if target in (*cut.needs, *cut.any_of)]
    yield from dict.fromkeys(map(field_of, told))


@pytest.mark.parametrize("language", OTHERS)
def test_every_label_of_an_answer_is_told(language: Language) -> None:
    say = translator(language)
    forms: list[Any] = [answer_of_check(), *map(answer_of_finding, knowledge().findings)]
    for field in fields():
        if field not in (ZONES, "refrigerant"):  # names of places and of refrigerants stay
            whole = asked_at(field, {})
            forms += [
                answer_to(field),
                answer_to(whole),
                asked_together(whole),
                asked_together(field, stages.beside(field)),
            ]
    pairs = zip(labels(forms), labels(worded(forms, say)), strict=True)
    assert {ours: theirs for ours, theirs in pairs if rests(ours, theirs)} == {}


@pytest.mark.parametrize("language", OTHERS)
def test_every_state_of_a_finding_is_told_to_the_caller(language: Language) -> None:
    """Also `unknown`: what a note leaves open stands in `matched` of a dispatch."""
    rows = knowledge().findings.values()
    states = (
        row.wording(state)
        for row in rows
        for state in ("present", "absent", "low", "high", "normal", "unknown")
        if (row.kind == "three-way") != (state in ("present", "absent")) or state == "unknown"
    )
    assert left(states, language) == set()


@pytest.mark.parametrize("language", OTHERS)
def test_every_contradiction_is_told(language: Language) -> None:
    known = knowledge()
    both = "These two cannot both be right:"
    found = known.findings
    texts = (
        f"{both} {lower(found[p.a].wording(p.a_state))}, and {lower(found[p.b].wording(p.b_state))}, since {p.why}."
        for p in known.conflicts
    )
    assert left(texts, language) == set()
    excluded = list(found)[::7]
    good = (
        f"{both} {lower(row.text)}, and {lower(known.name(key))}." for row in known.normals.values() for key in excluded
    )
    assert left(good, language) == set()
    odd = (
        f"{row.wording('present')}: the other findings would not lead one to expect it."
        for row in known.findings.values()
        if row.kind != "three-way"
    )
    assert left(odd, language) == set()


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize(
    "turn",
    ["becomes the likely answer (8 in 10)", "becomes more likely (3 in 10)", "becomes less likely (under 1 in 10)",
     "is as good as out (under 1 in 10)", "stays as it is (nearly certain)"],
)  # fmt: skip
def test_what_an_answer_would_change_is_told(turn: str, language: Language) -> None:
    known = knowledge()
    name = lower(known.modes["liquid-floodback"].name)
    starts = (re.split(r"[;:,(]", lower(row.text))[0].strip() for row in known.findings.values() if row.check)
    assert left((f"if {start}: {name} {turn}" for start in starts), language) == set()


@pytest.mark.parametrize("language", OTHERS)
def test_every_number_that_follows_from_readings_is_told(language: Language) -> None:
    assert left((row.text for row in catalogue().values()), language) == set()
