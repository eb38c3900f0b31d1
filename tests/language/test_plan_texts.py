"""What a plan of cleaning, a filter log, the gate and forms say, in other languages: all of it, whatever the job."""

import re
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest
from tests.language.untold import english_left

from witnessmark.cleanup.steps import STEPS, steps
from witnessmark.language.catalogue import FIRST, Language, translator
from witnessmark.vocabulary import BurnoutGrade, Oil, words

OTHERS = tuple(language for language in words(Language) if language != FIRST)
FILES = ("cleanup/steps", "cleanup/severity", "cleanup/components", "cleanup/debris", "cleanup/log", "restart/gate",
         "restart/after_run", "restart/watch_list", "vocabulary")  # fmt: skip
ALL = {"vocabulary"}
SHOWN = {"text", "name", "reversible_name", "why", "look", "title", "act", "without_port", "solids", "balance"}
LOANS = {"scroll"}
"""The trade says it so in every language."""


def texts(name: str) -> Iterator[str]:
    """What a person reads of a data file: values of the keys that are shown, and every label."""
    content = tomllib.loads(files("witnessmark").joinpath(f"{name}.toml").read_text("utf-8"))
    yield from (text for key, text in walked(content) if key in SHOWN or name in ALL or text.endswith("."))


def walked(part: Any, key: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(part, dict):
        for name, inner in part.items():
            yield from walked(inner, name)
    elif isinstance(part, list):
        for inner in part:
            yield from walked(inner, key)
    elif isinstance(part, str):
        yield key, part


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", FILES)
def test_every_text_is_told(name: str, language: Language) -> None:
    say, found = translator(language), set(texts(name))
    assert len(found) > 5
    assert {text for text in found if re.search("[a-z]{3}", text) and say(text) == text} - LOANS == set()


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", FILES)
def test_no_number_of_it_is_changed(name: str, language: Language) -> None:
    def numbers(text: str) -> list[str]:
        return sorted(number.replace(",", ".") for number in re.findall(r"\d+(?:[.,]\d+)*", text))

    say = translator(language)
    assert {text: say(text) for text in texts(name) if numbers(text) != numbers(say(text))} == {}


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", FILES)
def test_no_text_is_told_by_half(name: str, language: Language) -> None:
    """A sentence or a list that stays English inside a translated text is an order that nobody reads."""
    say = translator(language)
    assert {text: left for text in texts(name) if (left := english_left(text, say(text)))} == {}


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("oil", words(Oil))
def test_a_step_is_told_with_what_is_filled_into_it(oil: Oil, language: Language) -> None:
    say, every = translator(language), frozenset(need for row in STEPS().step.values() for need in row.needs)
    filled = {
        step.text
        for grade in words(BurnoutGrade)
        for facts in (every, frozenset())
        for step in steps(grade, facts, oil)
    }
    assert any("micron" in text for text in filled)
    assert {text: left for text in filled if (left := english_left(text, say(text)))} == {}
    assert {text for text in filled if "micron" in text and not re.search(r"\d,\d Pa", say(text))} == set()


def test_english_that_is_left_is_seen() -> None:
    assert english_left("Stop: high ratio, little charge.", "Pare: high ratio, little charge.")
    assert not english_left("Stop: high ratio, little charge.", "Pare: relación alta, poca carga.")
