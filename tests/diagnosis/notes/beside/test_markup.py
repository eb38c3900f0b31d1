"""Markup is not read, words between it are. Worst would be danger that is blanked with a tag."""

import time

import pytest

from witnessmark.diagnosis.notes.beside.markup import words_alone
from witnessmark.diagnosis.notes.matching import plights_of, read_note, ruled_matches


@pytest.mark.parametrize(
    "text",
    [
        "suction <5 bar and discharge >20 bar",
        "pressure <p and current >b",
        "<smoke> from the shell",
        "a<b smoke c>d",
        "R-410A & R-32, 4 // 5, user@desk",
        "low//high, 24V//230V",
        "note: click at start",
    ],
)
def test_what_may_be_arithmetic_or_emphasis_is_no_markup(text: str) -> None:
    assert words_alone(text) == text


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("<b>no cooling</b>", "no cooling"),
        ("<img src=x onerror=alert(1)> loud", "loud"),
        ("<svg/onload=alert(2)> loud", "loud"),
        ('<img src="x" alt="smoke at the terminal box"> dead', '"smoke at the terminal box" dead'),
        ("<!-- smells of burning --> dead", "smells of burning dead"),
        ("<script>alert(document.cookie)</script> dead", "dead"),
        ("<script>smoke without an end", "smoke without an end"),
        ("[click](javascript:alert(1)) dead", "( dead"),
        ("[smoke seen](http://x.invalid/y) dead", "[smoke seen]( dead"),
        ("![x](http://example.invalid/p.png) hot", "![x]( hot"),
        ("<iframe src=//example.invalid></iframe> hot", "hot"),
        ("mail desk@clinic.example.org for access", "mail for access"),
        ("www.clinic.example/a?b#c then dead", "then dead"),
        ("a&nbsp;b&lt;c", "a b c"),
        ("</text></note> dead", "dead"),
        ("<input checked disabled> dead", "dead"),
        ("| a | b |\n|---|---|\n| smoke | seen |", "| smoke | seen |"),
        ("| smoke | seen |\n|:--|--:|", "| smoke | seen |"),
    ],
)
def test_tags_and_addresses_are_blanked_where_they_stand(text: str, left: str) -> None:
    found = words_alone(text)
    assert len(found) == len(text)
    assert " ".join(found.split()) == left


def test_danger_between_tags_is_heard_and_stands_where_it_stands() -> None:
    text = '<div class="note"><b>smoke</b> is coming out of the compressor</div>'
    (smoke,) = [m for m in read_note(text).matches if m.finding == "smoke-seen"]
    assert "smoke" in text[smoke.words[0].start : smoke.words[-1].end]
    assert "smoke-seen" in {m.finding for m in ruled_matches(text)}
    assert plights_of("<b>the driver is trapped in the cold room</b>") == plights_of(
        "the driver is trapped in the cold room"
    )


def test_a_link_is_no_click_and_an_address_no_patient() -> None:
    found = read_note("<iframe src=//example.invalid></iframe> [click](javascript:alert(1)) compressor runs")
    assert "relay-clicks" not in {m.finding for m in (*found.matches, *found.candidates)}
    assert [fact for fact in found.facts if fact.kind == "urgency"] == []
    assert "relay-clicks" in {m.finding for m in read_note("hums, clicks and trips").matches}


@pytest.mark.parametrize(
    "piece", ["<a ", "<img a=", "//a.", "|a", "|--", "[click](", "<script>", "&#1", "a@b.", '<p x="', "x://"]
)
def test_it_is_linear_in_the_note(piece: str) -> None:
    text = (piece * 20_000)[:20_000]
    start = time.process_time()
    assert len(words_alone(text)) == len(text)
    assert time.process_time() - start < 2.0
