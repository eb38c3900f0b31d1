"""The one catalogue of what a report says, by language, ready for translation: keys stand in texts.toml."""

from __future__ import annotations

from collections.abc import Callable
from string import Formatter

from witnessmark import data
from witnessmark.language.catalogue import Language, form_of
from witnessmark.vocabulary import words

TEXTS = data.table(__package__, "texts.toml", dict[str, dict[str, str]])
Say = Callable[..., str]


def catalogue(language: Language) -> Say:
    """The function that says a text by key, with its fields filled in."""
    texts = TEXTS()[language]

    def say(key: str, **fields: object) -> str:
        count = fields.get("count")
        singular = isinstance(count, int) and form_of(language, count) == "one"
        return texts[f"{key}_one" if singular else key].format(**fields)

    return say


@data.checked
def each_language_says_the_same() -> None:
    """DataError where a language misses a key of the first one, has one more, or names other fields in it."""
    first, *others = words(Language)
    if list(TEXTS()) != [first, *others]:
        raise data.DataError(["texts.toml: the languages are not those of the report"])
    for language in others:
        if fields(language) != fields(first):
            raise data.DataError([f"texts.toml: {language}: not the keys and fields of {first}"])


def fields(language: str) -> dict[str, frozenset[str]]:
    """The fields of every text of a language."""
    return {
        key: frozenset(name for _, name, _, _ in Formatter().parse(text) if name is not None)
        for key, text in TEXTS()[language].items()
    }
