"""Of which numbered machine the words of a note are told."""

from __future__ import annotations

from witnessmark.diagnosis.notes.assertions.subjects import Told, told
from witnessmark.diagnosis.notes.scoring import sentences
from witnessmark.diagnosis.notes.tokens import tokens
from witnessmark.diagnosis.notes.vocabulary import vocabulary


def of(text: str) -> list[tuple[list[str], list[str]]]:
    """Words of other machines and words whose machine is open, sentence by sentence."""
    words = vocabulary()
    parts = [*sentences(tokens(text, words.lexicon), words)]
    return [
        ([s.tokens[k].stem for k in sorted(t.other)], [s.tokens[k].stem for k in sorted(t.open)])
        for s, t in zip(parts, told(parts), strict=True)
    ]


def test_one_machine_or_none_is_no_question() -> None:
    assert told([]) == []
    assert of("unit 2 trips. unit 2 knocks") == [([], []), ([], [])]
    assert of("rack 1 comp 2 trips") == [([], [])]


def test_two_of_a_kind_are_open_and_what_follows_goes_with_the_last() -> None:
    (one, two, three) = of("unit 1 trips. unit 2 runs. it knocks")
    assert one[1] == ["unit", "trip"]
    assert two[1] == ["unit", "run"]
    assert three[1] == ["it", "knock"]


def test_a_pointer_settles_it() -> None:
    assert of("unit b trips, unit a is ours and knocks") == [(["unit", "b", "trip"], [])]


def test_what_the_job_is_for_settles_it() -> None:
    (told_of,) = of("unit 1 knocking, unit 2 dead, job is for unit 2")
    assert told_of[0] == ["unit", "knock"]
    assert told_of[1] == []


def test_both_are_meant() -> None:
    assert of("unit 1 and unit 2 both trip") == [([], [])]


def test_large_numbers_far_words_and_readings_name_no_machine() -> None:
    assert of("unit 230 trips, unit 240 runs") == [([], [])]
    assert of("compressor 1.5 trips, compressor 2.5 runs") == [([], [])]
    assert of("the unit trips, the unit runs") == [([], [])]


def test_before_any_machine_is_named_nothing_is_open() -> None:
    ((other, unclear),) = of("it trips, unit 1 runs, unit 2 too")
    assert (other, unclear) == ([], ["unit", "run", "unit", "too"])
    assert Told() == Told(frozenset(), frozenset())


def test_letters_before_a_colon_name_two_machines() -> None:
    ((other, unclear),) = of("a: runs b: trips")
    assert (other, unclear) == ([], ["a", "run", "b", "trip"])
    assert of("note: runs") == [([], [])]
