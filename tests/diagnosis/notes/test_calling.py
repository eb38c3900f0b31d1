"""A call back where something sounds like danger, and none where every such word is told calmly."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from witnessmark.diagnosis.notes import matching
from witnessmark.diagnosis.notes.calling import Listening
from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.notes.model.reader import DANGER, Heard, Ruled
from witnessmark.diagnosis.notes.scoring import clauses_of

LONG = (
    " it is the third call about this walk in and the owner wants it to be cold before the lunch hour starts today" * 3
)


def heard(text: str, finding: str, outcome: str, score: float, *words: str) -> Heard:
    named = tuple((text.index(word), text.index(word) + len(word)) for word in words)
    return Heard(finding, outcome, score, score, named, ())


def believed(text: str, finding: str, outcome: str, score: float, *words: str) -> bool:
    return bool(Listening(clauses_of(text)).believable([heard(text, finding, outcome, score, *words)]))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("no smoke, no fire", ("smoke", "fire")),
        ("last year there was smoke", ("smoke",)),
        ("if you see smoke call us", ("smoke", "call")),
        ("smoke detector replaced", ("smoke", "detector")),
    ],
)
def test_a_reader_that_hears_danger_in_calm_words_is_not_believed(text: str, words: tuple[str, ...]) -> None:
    assert not believed(text, DANGER, "present", 0.9, *words)
    assert not believed(text, "smoke-seen", "present", 0.9, *words)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("smoke from the panel", ("smoke", "panel")),
        ("no smoke but everyone in there goes swimmy", ("everyone", "goes", "swimmy")),
        ("not sure whether it is smoke", ("smoke",)),
    ],
)
def test_it_is_believed_where_a_word_is_open_or_other_words_bear_it(text: str, words: tuple[str, ...]) -> None:
    """The worst wrong answer: danger told in a word that no list has, silenced by a denial beside it."""
    assert believed(text, DANGER, "present", 0.4, *words)


def test_a_finding_that_is_no_danger_is_not_judged_here() -> None:
    assert believed("no smoke", "knock-while-running", "present", 0.9, "smoke")


def test_what_it_hardly_hears_denied_is_dropped_where_something_is_denied() -> None:
    assert not believed("not cold, goes swimmy", "smoke-seen", "absent", 0.6, "swimmy")
    assert believed("cold, goes swimmy", "smoke-seen", "absent", 0.6, "swimmy")


def test_a_faint_hazard_needs_a_grave_word_in_a_long_note() -> None:
    assert not believed(f"somebody goes swimmy.{LONG}", "people-unwell", "present", 0.5, "swimmy")
    assert believed(f"somebody goes swimmy.{LONG}", "people-unwell", "present", 0.7, "swimmy")
    assert believed("somebody goes swimmy", "people-unwell", "present", 0.5, "swimmy")


def test_ammonia_is_released_only_where_something_says_so() -> None:
    assert not believed("ammonia plant, annual oil change", "ammonia-released", "present", 0.97, "ammonia")
    assert believed("ammonia leaks", "ammonia-released", "present", 0.97, "ammonia")
    assert not believed("swap the O2 sensor", "gas-alarm", "present", 0.5, "O2")
    assert believed("swap the O2 sensor", "gas-alarm", "present", 0.7, "O2")


class Hears:
    """Hears danger in one word with a score."""

    level = 0.09

    def __init__(self, word: str, score: float) -> None:
        self.word, self.score = word, score

    def hear(self, text: str, _ruled: Sequence[Ruled] = (), _meant: object = None) -> list[Heard]:
        return [heard(text, DANGER, "present", self.score, self.word)]


@pytest.mark.parametrize(
    ("text", "score", "called"),
    [
        ("my nephew goes swimmy", 0.1, True),
        ("my nephew goes swimmy", 0.08, False),
        (f"breaker trips every time. my nephew goes swimmy.{LONG}", 0.11, False),
        (f"breaker trips every time. my nephew goes swimmy.{LONG}", 0.13, True),
        ("la camara no enfria y el sobrino swimmy con la puerta abierta", 0.2, False),
        ("la camara no enfria y el sobrino swimmy con la puerta abierta", 0.31, True),
    ],
)
def test_without_a_grave_word_more_is_asked_of_it(
    text: str, score: float, *, called: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(matching, "shipped", lambda: Hears("swimmy", score))
    assert (read_note(text).call_back is not None) == called


@pytest.mark.parametrize(
    ("text", "words"), [("no smoke. no fire", ("fire",)), ("no smoke. no fire", ("smoke", "fire"))]
)
def test_calm_words_of_a_later_sentence_are_judged_by_their_own(text: str, words: tuple[str, ...]) -> None:
    assert not believed(text, DANGER, "present", 0.9, *words)
    assert believed(text.replace(". no", ". now"), DANGER, "present", 0.9, *words)


def test_danger_faintly_heard_in_a_calm_note_is_not_believed() -> None:
    """Where danger in general is as good as nothing, sparks half heard are none; what is surely there stays."""
    listening = Listening(clauses_of("contacts sparkle"))
    named = ((0, 8),)
    calm = Heard(DANGER, "present", 0.001, 0.001, named, ())
    faint = Heard("sparks-seen", "absent", 0.2, 0.4, named, ())
    sure = Heard("sparks-seen", "present", 0.8, 0.8, named, ())
    assert listening.believable([calm, faint]) == [calm]
    assert listening.believable([calm, sure]) == [calm, sure]
    assert faint in listening.believable([Heard(DANGER, "present", 0.2, 0.2, named, ()), faint])
    assert listening.believable([Heard("about-to-burst-or-fall", "present", 0.9, 0.9, named, ())]) == []
