"""Tokens of a job note: folding, stems, numbers, abbreviations, spelling."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.diagnosis.notes.tokens import (
    Lexicon,
    Token,
    distance,
    fold,
    is_asset,
    number,
    one_spelling,
    stem,
    tokens,
)

LEXICON = Lexicon(
    abbreviations={
        "comp": ("compressor",),
        "s/h": ("superheat",),
        "lra": ("locked", "rotor", "amps"),
        "won't": ("will", "not"),
        "temp": ("temperature",),
    },
    stems=frozenset(map(stem, ("compressor", "contactor", "seized", "bearing", "knock", "frost", "superheat", "oil"))),
    plain=frozenset({"contractor"}),
)


def read(text: str) -> list[Token]:
    return tokens(text, LEXICON)


def stems(text: str) -> list[str]:
    return [token.stem for token in read(text)]


@pytest.mark.parametrize(
    ("first", "other", "edits"),
    # the last is the textbook case that parts the restricted distance (3) from the unrestricted one (2)
    [
        ("", "abc", 3),
        ("frost", "frost", 0),
        ("frost", "fros", 1),
        ("siezed", "seized", 1),
        ("kitten", "sitting", 3),
        ("ca", "abc", 3),
    ],
)
def test_distance_is_restricted_damerau_levenshtein(first: str, other: str, edits: int) -> None:
    assert distance(first, other) == edits
    assert distance(other, first) == edits


def brute(first: str, other: str) -> int:
    """The recursive definition, as an independent check."""
    if not first or not other:
        return len(first) + len(other)
    best = min(
        brute(first[:-1], other) + 1,
        brute(first, other[:-1]) + 1,
        brute(first[:-1], other[:-1]) + (first[-1] != other[-1]),
    )
    if len(first) > 1 and len(other) > 1 and first[-1] == other[-2] and first[-2] == other[-1]:
        best = min(best, brute(first[:-2], other[:-2]) + 1)
    return best


@given(st.text("abc", max_size=5), st.text("abc", max_size=5))
def test_distance_follows_its_recursive_definition(first: str, other: str) -> None:
    assert distance(first, other) == brute(first, other)


@pytest.mark.parametrize(
    ("words", "common"),
    [
        ("knock knocks knocked knocking", "knock"),
        ("trip trips tripped tripping", "trip"),
        ("pull pulls pulled pulling", "pul"),
        ("bearing bearings", "bear"),
        ("charge charges charged charging", "charg"),
        ("switch switches switched", "switch"),
        ("box boxes boxed", "box"),
        ("battery batteries", "battery"),
        ("flash flashes flashing", "flash"),
        ("mess messes", "mes"),
        ("pitted pittted", "pit"),
    ],
)
def test_forms_of_a_word_share_a_stem(words: str, common: str) -> None:
    assert {stem(word) for word in words.split()} == {common}


@pytest.mark.parametrize("word", ["gas", "is", "us", "ring", "oil", "bus", "ed"])
def test_short_words_keep_what_is_no_ending(word: str) -> None:
    assert stem(word) == word


def test_owner_is_not_part_of_the_stem() -> None:
    assert stem("customer's") == stem("customer’s") == "customer"


@pytest.mark.parametrize(
    ("text", "value"), [("1,200", 1200.0), ("12,345.5", 12345.5), ("0,4", 0.4), ("0.4", 0.4), (".5", 0.5), ("7", 7.0)]
)
def test_number_reads_thousands_and_decimal_commas(text: str, value: float) -> None:
    assert number(text) == value
    assert [token.value for token in read(f"SH {text} K") if token.kind == "number"] == [value]


def test_a_number_of_too_many_digits_is_infinite() -> None:
    assert number("9" * 400) == float("inf")


def test_abbreviations_become_words_with_the_span_of_the_short_form() -> None:
    result = read("Comp pulls LRA")
    assert [token.stem for token in result] == ["compressor", "pul", "lock", "rotor", "amp"]
    assert [(token.start, token.end) for token in result] == [(0, 4), (5, 10), (11, 14), (11, 14), (11, 14)]


def test_short_forms_with_a_slash_are_put_together_only_when_known() -> None:
    assert stems("S/H low") == ["superheat", "low"]
    assert stems("hot/cold") == ["hot", "/", "cold"]


def test_contractions_hold_a_denial_with_any_apostrophe() -> None:
    assert stems("won't") == stems("won’t") == stems("won`t") == ["wil", "not"]


@pytest.mark.parametrize(
    ("wrong", "right", "quality"),
    [
        ("siezed", "seiz", 0.92),
        ("contacter", "contactor", 0.92),
        ("comprissr", "compressor", 0.84),
        ("superheet", "superheat", 0.92),
    ],
)
def test_spelling_is_corrected_within_bounds(wrong: str, right: str, quality: float) -> None:
    (token,) = read(wrong)
    assert (token.stem, token.quality) == (right, quality)


@pytest.mark.parametrize("word", ["contractor", "oul", "frst", "means", "knives", "zknock", "x" * 40, "cold"])
def test_ordinary_short_long_and_distant_words_are_left_alone(word: str) -> None:
    (token,) = read(word)
    assert (token.stem, token.quality) == (stem(word), 1.0)


def test_hyphens_join_words_and_part_numbers() -> None:
    assert stems("over-current") == ["over", "current"]
    assert stems("SH-2K") == ["sh", "2", "k"]
    assert stems("2-3") == ["2", "-", "3"]
    assert [token.kind for token in read("frost - none")] == ["word", "pause", "word"]


def test_designations_stay_whole() -> None:
    assert stems("T1 R410A R-407C OK5862") == ["t1", "r410a", "r-407c", "ok5862"]


def test_kinds_of_marks() -> None:
    assert [token.kind for token in read("a, b. c? d\ne % f: (g)")] == [
        *("word", "pause", "word", "stop", "word", "stop", "word", "stop"),
        *("word", "sign", "word", "pause", "pause", "word", "pause"),
    ]
    assert stems("frost & oil + knock") == ["frost", "and", "oil", "and", "knock"]


def test_a_stop_after_a_short_form_is_a_pause() -> None:
    assert [token.kind for token in read("comp. knocks. temp. High.")] == [
        *("word", "pause", "word", "stop", "word", "stop", "word", "stop"),
    ]


def test_a_number_of_something_is_not_a_denial() -> None:
    assert stems("No 2 compressor") == ["number", "2", "compressor"]
    assert stems("comp no. 3 knocks")[:3] == ["compressor", "number", "."]
    assert stems("no 24v here")[0] == "no"
    assert stems("no 4.5 found")[0] == "no"
    assert stems("no frost")[0] == "no"
    assert stems("no.") == ["no", "."]


def test_folding_keeps_places() -> None:
    assert fold("Oil") == ("oil", [0, 1, 2])
    assert fold("Öl ½ Ω") == ("ol 1⁄2 ω", [0, 1, 2, 3, 3, 3, 4, 5])
    assert fold("o\u200bil\ud800") == ("oil", [0, 2, 3])


def test_spans_point_into_the_note_whatever_it_holds() -> None:
    text = "Ölstand ﬁne, ½ voll \ud800 frost ℃"
    for token in read(text):
        assert 0 <= token.start < token.end <= len(text)
    (frost,) = [token for token in read(text) if token.stem == "frost"]
    assert text[frost.start : frost.end] == "frost"


@given(st.text(max_size=60) | st.text(string.printable, max_size=60))
def test_any_text_gives_tokens_in_order_and_within_the_text(text: str) -> None:
    result = read(text)
    assert all(0 <= token.start < token.end <= len(text) for token in result)
    assert [token.start for token in result] == sorted(token.start for token in result)


AIRCONS = "A/C|AC|aircon|Air Con|AIR-CON|air/con|A/Con|a-con|air cond|airconditioner|air-conditioning|AirCons"
ASSETS, OTHERS = "cr871 xs7870 ou089 rtu1204b", "r410a r22 hfc134a hp350 sh012 t12 240v co2"


@pytest.mark.parametrize("spelled", AIRCONS.split("|"))
def test_an_air_conditioner_is_one_word_however_it_is_written(spelled: str) -> None:
    assert stems(f"{spelled} seized") == ["aircon", "seiz"]
    assert one_spelling(f"the {spelled} seized".lower()) == "the aircon seized"


@pytest.mark.parametrize("other", ["air cooled", "air condenser", "a c", "air compressor", "mac", "acid", "hair con"])
def test_what_is_no_air_conditioner_stays(other: str) -> None:
    assert one_spelling(other) == other


def test_the_number_of_a_machine_is_told_from_a_refrigerant_and_a_reading() -> None:
    assert [word for word in ASSETS.split() if not is_asset(word)] == []
    assert [word for word in OTHERS.split() if is_asset(word)] == []
