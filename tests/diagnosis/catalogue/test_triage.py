"""Words, signs and questions name what there is."""

from __future__ import annotations

import pytest

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue import knowledge as module
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.catalogue.triage import Question, Sign, Triage, dangling, triage


def changed(**change: object) -> Triage:
    return triage().model_copy(update=change)


def test_the_shipped_words_fit_the_shipped_knowledge(shipped: Knowledge) -> None:
    assert list(dangling(triage(), shipped)) == []


@pytest.mark.parametrize("kind", ["skill", "tool", "part"])
def test_a_word_that_advice_needs_is_missed(shipped: Knowledge, kind: str) -> None:
    faults = list(dangling(changed(**{kind: {}}), shipped))
    assert faults
    of_crews = ("dispatch ",) if kind == "part" else ("dispatch ", "safety ")
    assert all(fault.startswith(of_crews) and ": unknown id " in fault for fault in faults)


def test_unknown_findings_are_named(shipped: Knowledge) -> None:
    sign = triage().sign[0].model_copy(update={"low": ("gremlins",)})
    question = triage().question[0].model_copy(update={"settles": ("ghosts",)})
    running = triage().running.model_copy(update={"findings": frozenset({"banshees"})})
    faults = list(dangling(changed(sign=(sign,), question=(question,), running=running), shipped))
    assert faults == [f"triage: unknown id {name}" for name in ("gremlins", "banshees", "ghosts")]


def test_a_start_refuses_what_does_not_fit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "unknown_to_triage", lambda *_: iter(["triage: unknown id ghosts"]))
    with pytest.raises(DataError, match="unknown id ghosts"):
        module.check_knowledge()


def test_a_sign_is_seen_in_its_state() -> None:
    row = triage().sign[0].model_copy(update={"findings": ("a",), "low": ("b",)})
    assert isinstance(row, Sign)
    seen = [(key, state) for key in "abc" for state in ("present", "low", "high", "absent") if row.seen(key, state)]
    assert seen == [("a", "present"), ("b", "low")]


def test_questions_are_questions() -> None:
    assert all(
        isinstance(row, Question) and "?" in row.words and (row.settles or row.about) for row in triage().question
    )
    assert len({row.id for row in triage().question}) == len(triage().question)
