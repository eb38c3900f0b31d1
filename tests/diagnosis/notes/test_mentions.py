"""Mentions: one form for whoever finds them."""

from __future__ import annotations

from witnessmark.diagnosis.notes.matching import ruled_matches
from witnessmark.diagnosis.notes.mentions import Clause, mention
from witnessmark.diagnosis.notes.scoring import sentences
from witnessmark.diagnosis.notes.tokens import tokens
from witnessmark.diagnosis.notes.vocabulary import vocabulary


def test_a_mention_from_characters_knows_its_tokens() -> None:
    words = vocabulary()
    text = "Fine. Oil is black, no knock"
    _, sentence = sentences(tokens(text, words.lexicon), words)
    clause = Clause(sentence, text)
    assert (clause.start, clause.end, clause.words) == (6, 28, "Oil is black, no knock")
    found = mention(clause, "oil-burnt", 6, 18, 0.8, "present")
    assert [sentence.tokens[k].stem for k in sorted(found.tokens)] == ["oil", "is", "black"]
    assert not found.hazard


def test_what_the_rules_alone_take_is_had_without_the_reader() -> None:
    assert [(m.finding, m.state) for m in ruled_matches("compressor knocking")] == [("knock-while-running", "present")]
