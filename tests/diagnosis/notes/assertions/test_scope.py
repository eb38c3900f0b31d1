"""Cues in a clause, its parts, and what hides what."""

from __future__ import annotations

from witnessmark.diagnosis.notes.assertions.scope import Scope, meaning, only_idle
from witnessmark.diagnosis.notes.mentions import Clause
from witnessmark.diagnosis.notes.scoring import sentences
from witnessmark.diagnosis.notes.tokens import tokens
from witnessmark.diagnosis.notes.vocabulary import vocabulary


def scope(text: str) -> Scope:
    words = vocabulary()
    (sentence,) = sentences(tokens(text, words.lexicon), words)
    return Scope(Clause(sentence, text), ())


def kinds(text: str) -> set[str]:
    return {cue.kind for cue in scope(text).cues}


def test_a_longer_wording_hides_a_shorter_one() -> None:
    assert "negation" in kinds("no oil")
    assert "negation" not in kinds("no doubt")
    assert kinds("no doubt") >= {"pseudo-negation"}


def test_years_but_no_readings() -> None:
    assert "history" in kinds("burnt in 2019")
    assert "history" in kinds("burnt in '19")
    assert "history" not in kinds("runs since 2019")
    assert "history" not in kinds("2019 hours on it")
    assert "history" not in kinds("1850 rpm")


def test_parts_end_at_pauses_and_contrasts_not_at_colons() -> None:
    assert scope("oil: black, hot but quiet").parts == (0, 0, 0, 1, 1, 2, 2)


def test_words_without_meaning() -> None:
    one = scope("the a burnt")
    assert only_idle(one, 0, 2)
    assert meaning(one, 0, 3) == 1
