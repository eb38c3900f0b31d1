"""Reasons of a filter log stand in the report: none is left in English."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from witnessmark.cleanup import log_verdict
from witnessmark.language.catalogue import translator

FIELDS = {
    "how": "over",
    "settles": "a better gauge",
    "again": "at full flow",
    "since": "for 3 days and is overdue after 2",
    "name": "oil colour in its limit",
    "words[holds]": "not yet",
}
"""What stands for a field of a sentence; a number for every other."""


def sentences() -> Iterator[str]:
    """Every whole sentence that the verdict says, its fields filled in."""
    tree = ast.parse(Path(log_verdict.__file__).read_text("utf-8"))
    said = (node.value for node in ast.walk(tree) if isinstance(node, (ast.Yield, ast.Return)) and node.value)
    for node in (inner for value in said for inner in ast.walk(value)):
        parts = node.values if isinstance(node, ast.JoinedStr) else [node]
        told = "".join(
            str(part.value) if isinstance(part, ast.Constant)
            else FIELDS.get(ast.unparse(part.value), "3.5") if isinstance(part, ast.FormattedValue) else ""
            for part in parts
        )  # fmt: skip
        if told.endswith(".") and told[:1].isupper():
            yield told


@pytest.mark.parametrize("language", ["es", "pt"])
def test_no_reason_is_left_in_english(language: str) -> None:
    say = translator(language)  # type: ignore[arg-type]
    found = set(sentences())
    assert len(found) > 8
    assert {text for text in found if say(text) == text} == set()
