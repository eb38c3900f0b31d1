"""Notes stand once, in the order in which they came."""

from witnessmark.cleanup.notes import Notes


def test_notes_stand_once_in_order() -> None:
    notes = Notes()
    for text in ("b", "a", "b"):
        notes.assume(text)
        notes.warn(text, "c")
        notes.cite(text)
    assert list(notes.assumptions) == ["b", "a"]
    assert list(notes.cautions) == ["b", "c", "a"]
    assert list(notes.sources) == ["b", "a"]
