"""The owner's page. Worst would be that nothing is open where nothing is established."""

from collections.abc import Callable
from typing import Any

import pytest

from witnessmark.casework.open_questions import ALWAYS
from witnessmark.casework.report.blocks import Bullets, Paragraph
from witnessmark.casework.report.material import Material
from witnessmark.casework.report.owner import owner
from witnessmark.casework.report.texts import catalogue
from witnessmark.casework.stages import LATER, READ
from witnessmark.language.catalogue import translator


def said(material: Material, title: str) -> list[str]:
    """The texts of a section, as its blocks hold them."""
    parts = [part for part in owner(material) if part is not None and part.title == material.say(title)]
    blocks = [block for part in parts for block in part.blocks]
    listed = [str(item) for block in blocks if isinstance(block, Bullets) for item in block.items]
    return listed + [block.text for block in blocks if isinstance(block, Paragraph)]


def test_what_nobody_told_or_began_is_open(material: Callable[..., Material]) -> None:
    asked = material(questions=("Which oil is in the circuit?",), not_begun=("insulation", "restart"))
    assert said(asked, "not_known") == [
        "Not told yet: Which oil is in the circuit?",
        "Not begun: insulation, checks before the start.",
    ]
    settled = material(questions=("Which oil is in the circuit?",), not_begun=("restart",), settled=True)
    assert said(settled, "not_known") == [catalogue("en")("unknown_nothing")]


def test_an_owner_reads_what_was_not_looked_at_and_not_how_to_look(material: Callable[..., Material]) -> None:
    checks = [
        {"finding": "oil-burnt", "kind": "finding", "text": "Oil burnt? Draw some: look, smell."},
        {"finding": "subcooling", "kind": "finding", "text": "Measure the subcooling"},
    ]
    made = material(results={"diagnosis": {"next_checks": {"checks": checks}, "verdict": {"state": "leading"}}})
    assert said(made, "not_known")[:2] == ["Not looked at yet: Oil burnt?", "Not looked at yet: Measure the subcooling"]


def cause(key: str, probability: float, at_work: float) -> dict[str, Any]:
    return {"id": key, "probability": probability, "at_work": at_work, "words": "very likely"}


def test_every_cause_that_is_sure_is_told_and_what_corrects_it(material: Callable[..., Material]) -> None:
    causes = [
        cause("poor-oil-return-piping", 0.97, 0.97),
        cause("low-load", 0.97, 0.96),
        cause("undercharge", 0.95, 0.94),
        cause("dirty-installation", 0.93, 0.2),
        cause("defrost-fault", 0.6, 0.6),
    ]
    lost = {"parts": [{"id": "compressor", "when": "order"}]}
    found = {"causes": causes, "verdict": {"state": "diagnosed", "text": "x"}, "dispatch": lost}
    made = material(results={"diagnosis": found})
    assert [text.rsplit("(", 1)[1] for text in said(made, "why")] == ["97 %).", "97 %).", "95 %).", "93 %)."]
    assert len(said(made, "prevents")) == 4


def test_what_runs_unproved_is_listed_and_goods_are_told_first(material: Callable[..., Material]) -> None:
    checks = [{"check": key, "title": key.title()} for key in ("vacuum", "charge")]
    gate = {"verdict": "do not start", "checks": checks, "blocking": ["charge"]}
    made = material(results={"restart": gate}, settled=True, unproved=True, saving="Keep the doors shut.")
    assert said(made, "not_known") == ["Not proved yet: Charge"]
    assert said(made, "being_done")[0] == "Keep the doors shut."
    assert said(material(settled=True, unproved=True), "not_known") == [catalogue("en")("unknown_nothing")]


@pytest.mark.parametrize("language", ["es", "pt"])
def test_no_question_of_the_page_is_left_in_english(language: Any) -> None:
    texts = {text for _, text in (*ALWAYS, *READ, *LATER)}
    assert [text for text in texts if translator(language)(text) == text] == []


def test_of_a_compressor_that_is_out_nobody_asks_how_it_runs_nor_what_would_say_nothing(
    material: Callable[..., Material],
) -> None:
    found = {"diagnosis": {"verdict": {"state": "diagnosed", "text": "x", "ask_first": ["At what speed?"]}}}
    aside = {"superheat": "it moves no gas", "cleanup": "Still needed for it: oil."}
    there = material(results=found, aside=aside)
    assert said(there, "not_known")[0] == "At what speed?"
    assert "Superheat: It moves no gas" in said(there, "not_known")
    out = material(results=found, aside=aside, senseless=("superheat",), repaired=True)
    assert said(out, "not_known") == ["Cleanup plan: Still needed for it: oil."]
