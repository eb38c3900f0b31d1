"""Words, sizes and n-grams of a note."""

import pytest

from witnessmark.diagnosis.notes.model.words import (
    LONGEST_UNIT,
    MOST,
    PACKED,
    key,
    letter_grams,
    units,
    word_grams,
    words,
)


def read(text: str) -> list[str]:
    return [word.text for word in words(text)]


def test_case_accents_and_apostrophes_do_not_count() -> None:
    assert read("Válvula de Succión") == read("valvula de succion") == ["valvula", "de", "succion"]
    assert read("won’t start") == ["won't", "start"]


def test_places_are_characters_of_the_note() -> None:
    text = "Ölig, 12,5 A"
    assert [text[w.start : w.end] for w in words(text)] == ["Ölig", ",", "12,5", "A"]


@pytest.mark.parametrize(
    ("number", "size"),
    [("0", "#z"), ("0.2", "#-1"), (".4", "#-1"), ("7", "#0"), ("460", "#2"), ("1,200", "#3"), ("12,5", "#1")],
)
def test_numbers_count_by_their_size(number: str, size: str) -> None:
    assert read(number) == [size]


def test_a_finer_size_tells_two_from_nine() -> None:
    two, nine, word = words("2 9 x")
    assert two.text == nine.text
    assert two.size != nine.size
    assert word.size == ""


@pytest.mark.parametrize("number", ["1.2.3.4", "9" * 400, "00"])
def test_what_is_no_measure_has_no_size(number: str) -> None:
    assert read(number) == ["#z"]


def test_a_mark_repeated_counts_once_and_a_word_does_not() -> None:
    assert read("help!!! no no") == ["help", "!", "no", "no"]
    assert read("\n\n\n") == ["\n"]


def test_no_more_is_read_than_a_note_can_have() -> None:
    assert len(words("a " * 6_000)) == MOST


def test_short_sentences_are_read_together() -> None:
    assert [len(u) for u in units(words("oil black. magnet clean"))] == [5]
    assert [len(u) for u in units(words("oil black! " * 21))] == [*[PACKED] * 5, 3]
    assert [u[0].text for u in units(words("no oil. " + "so " * 29))] == ["no", "so"]


def test_units_are_never_long() -> None:
    assert [len(u) for u in units(words("a " * (LONGEST_UNIT + 3)))] == [LONGEST_UNIT, 3]
    assert [*units([])] == []


def test_word_grams_reach_three_words() -> None:
    grams = [*word_grams(words("no oil left here"))]
    assert len(grams) == 4 + 3 + 2
    assert {(g.first, g.last) for g in grams if g.key == key("w no oil left")} == {(0, 2)}


def test_letter_grams_know_beginning_and_end_and_skip_marks() -> None:
    grams = {g.key for g in letter_grams(words("oil 3 ,"))}
    assert key("c <oi") in grams
    assert key("c il>") in grams
    assert len(grams) == 4 + 3 + 2 + 1


def test_a_word_without_end_gives_few_grams() -> None:
    assert len([*letter_grams(words("x" * 20_000))]) < 120


@pytest.mark.parametrize("spelled", ["air con", "A/C", "aircon", "Air Conditioner", "AIR-COND", "a/con"])
def test_an_air_conditioner_has_no_air_in_it(spelled: str) -> None:
    """`AIR CON NOT WORKING` was heard as little air over the coil, for the word `air`."""
    assert read(f"{spelled} not working") == ["ac", "not", "working"]


def test_the_number_of_a_machine_means_nothing() -> None:
    """`CR871 repair` was heard as a high compression ratio, for the letters `CR`."""
    assert read("CR871 repair, CR 12") == ["#id", "repair", ",", "cr", "#1"]
    (asset, _) = words("XS7870 repair")
    assert [*letter_grams([asset])] == []
    assert (asset.start, asset.end) == (0, 6)
