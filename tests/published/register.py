"""The register of outside sources (sources.toml), and how many checks hold against them."""

from __future__ import annotations

import ast
import tomllib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

FOLDER = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class OutsideSource:
    """A source and the tests that hold against it; kind_only: only the kind of document is known."""

    title: str
    tests: tuple[str, ...]
    kind_only: bool = False


def sources() -> tuple[OutsideSource, ...]:
    """All sources; ValueError where one stands twice."""
    rows = tomllib.loads((FOLDER / "sources.toml").read_text("utf-8"))["source"]
    found = tuple(OutsideSource(row["title"], tuple(row["tests"]), row.get("kind_only", False)) for row in rows)
    if len({row.title for row in found}) < len(found):
        raise ValueError("a source stands twice")
    return found


def functions() -> set[str]:
    """The test functions of this folder."""
    return {
        node.name
        for path in FOLDER.glob("test_*.py")
        for node in ast.parse(path.read_text("utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    }


def cases(collected: Iterable[str]) -> Counter[str]:
    """Cases by test function, of the lines that a collection prints: `path::name[case]`."""
    return Counter(line.split("::")[1].split("[")[0] for line in collected if "::" in line)
