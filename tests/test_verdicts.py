"""docs/VERDICTS.md: every test that it names as holding a verdict is there."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "VERDICTS.md").read_text("utf-8")
ROWS = [line for line in PAGE.splitlines() if line.count("|") == 5 and not line.startswith(("| verdict", "| ---"))]


@cache
def names(path: str) -> frozenset[str]:
    """Names of the tests in a file."""
    return frozenset(re.findall(r"^def (test_\w+)", (ROOT / path).read_text("utf-8"), re.MULTILINE))


@pytest.mark.parametrize("row", ROWS, ids=range(len(ROWS)))
def test_a_verdict_is_held_by_tests_that_exist(row: str) -> None:
    held_by = row.rsplit("|", 2)[1]
    parts = re.findall(r"(tests/[\w/]+\.py)|::(test_\w+)", held_by)
    assert parts
    path = ""
    for file, test in parts:
        path = file or path
        assert (ROOT / path).is_file(), path
        assert not test or test in names(path), f"{path}::{test}"
