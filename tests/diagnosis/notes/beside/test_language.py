"""In which language a note is written."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.beside.language import LANGUAGES, Language, language_of


@pytest.mark.parametrize(
    ("text", "name", "read"),
    [
        ("the compressor is not running and it trips the breaker", "English", True),
        ("el compresor no arranca y la camara esta caliente", "Spanish", True),
        ("der Verdichter läuft nicht und es riecht nach Gas", "German", False),
        ("le compresseur ne démarre pas et il y a une odeur", "French", False),
        ("o compressor não liga e a câmara está quente, há fumaça na loja", "Portuguese", False),
        ("compressor não arranca, cheiro a queimado", "Portuguese", False),
        ("o compressor não arranca e cheira a queimado", "Portuguese", False),
        ("el compresor no arranca, olor a quemado", "Spanish", True),
        ("il compressore non parte e la cella è calda", "Italian", False),
        ("de compressor draait niet en het koelt niet", "Dutch", False),
        ("компрессор не работает", "another", False),
        ("SH 2 K", "not certain", True),
        ("", "not certain", True),
    ],
)
def test_the_language_of_a_note(text: str, name: str, read: bool) -> None:  # noqa: FBT001
    assert language_of(text) == Language(name, read)


@pytest.mark.parametrize(
    "text",
    [
        "overload trips started once a week, now several times a day",
        "no oil in a sump, comp on a die cast base",
        "on call van driver says the unit died per the man",
        "AC no cool, TXV, LP 40 HP 210, amps 12",
    ],
)
def test_english_shorthand_is_not_taken_for_another_language(text: str) -> None:
    assert language_of(text).read


def test_what_is_read_is_known() -> None:
    assert set(LANGUAGES().read) <= set(LANGUAGES().words)
