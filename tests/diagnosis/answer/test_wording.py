"""Sentences about findings and hypotheses."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.answer.wording import explained, follows, separated, weighed
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.evidence.evidence import READING, EvidenceItem
from witnessmark.diagnosis.result import Effect, Hypothesis, Weight

FLOODBACK = Hypothesis("floodback", "mode", "Floodback", 0.9, 0.1, 19.0, "very likely", "initiating")


@pytest.mark.parametrize(
    ("effect", "ending"),
    [
        ("for", "speaks for it."),
        ("against", "speaks against it."),
        ("neutral", "says little about it."),
        ("already explained", "but is already explained by burnout."),
    ],
)
def test_effects(small: Knowledge, effect: Effect, ending: str) -> None:
    piece = EvidenceItem("oil-black", "present", (0.1, 0.9, 0.1), "Oil black")
    text = weighed(small, piece, "present", effect, "burnout")
    assert text.startswith("Oil black: ")
    assert text.endswith(ending)


def test_an_unnamed_rival(small: Knowledge) -> None:
    piece = EvidenceItem("oil-black", "absent", (0.9, 0.1, 0.9), "Oil clear")
    assert (
        weighed(small, piece, "", "already explained", "") == "Oil clear: would speak for it, but is already explained."
    )


def test_a_reading_keeps_its_chain(small: Knowledge) -> None:
    piece = EvidenceItem("superheat", READING, (0.1, 1.0, 0.1), "1.0 K → superheat low (+14 dB)")
    assert weighed(small, piece, "low", "for", "") == "1.0 K → superheat low (+14 dB): speaks for it."


def test_a_bare_hypothesis(small: Knowledge) -> None:
    assert explained((small, {}), FLOODBACK, (), (), ()) == "Floodback: very likely."


def test_a_full_one(small: Knowledge) -> None:
    weights = (
        Weight("superheat", 6.0, 5.0, "for", ""),
        Weight("oil-black", -3.0, -2.0, "against", ""),
    )
    inquiry_of = (small, {"superheat": "low", "oil-black": "absent"})
    text = explained(inquiry_of, FLOODBACK, weights, ("superheat",), (("overfeeding", "floodback"),))
    assert text == (
        "Floodback: very likely. For it: superheat low. Against it: oil clear. "
        "Likely chain: Valve overfeeds → Floodback. It would fall if this turned out otherwise: superheat low."
    )


def test_separated(small: Knowledge) -> None:
    """In the state each was seen in; where none is clear, as it stands in the catalogue."""
    inquiry_of = (small, {"superheat": "low"})
    text = separated(inquiry_of, ("floodback", "burnout"), (("superheat", 6.0), ("oil-acid", -4.0)), ("sump-cold",))
    assert text == (
        "For floodback rather than the other: superheat low. For burnout rather than the other: oil acid. "
        "To tell them apart, look for: sump cold."
    )


def test_nothing_that_separates(small: Knowledge) -> None:
    assert separated((small, {}), ("floodback", "burnout"), (), ()) == "Nothing reported tells floodback from burnout."


def test_what_follows_is_said_in_tens() -> None:
    assert follows("wet, as said", "Floodback", 0.2, 0.6) == "if wet: floodback becomes the likely answer (6 in 10)"
    assert follows("dry", "Floodback", 0.2, 0.01) == "if dry: floodback is as good as out (under 1 in 10)"
    assert follows("dry", "Floodback", 0.6, 0.3) == "if dry: floodback becomes less likely (3 in 10)"
    assert follows("wet", "Floodback", 0.6, 0.97) == "if wet: floodback becomes more likely (nearly certain)"
    assert follows("wet", "Floodback", 0.05, 0.06) == "if wet: floodback stays as it is (1 in 10)"
