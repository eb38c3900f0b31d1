"""The size of the house: short functions, small modules, few arguments, everything documented and tested."""

from __future__ import annotations

import ast
import statistics
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SOURCES = sorted((ROOT / "service" / "witnessmark").rglob("*.py")) + sorted(
    (ROOT / "clients" / "python" / "witnessmark_client").rglob("*.py")
)
TESTS = sorted((ROOT / "tests").rglob("*.py"))
MOST_FUNCTION_LINES = 40
MOST_MODULE_LINES = 400
MEDIAN_FUNCTION_LINES = 8

Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(path: Path) -> Iterator[Function]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, Function):
            yield node


def body_lines(function: Function) -> int:
    """Lines of the body without its docstring; a signature that lists the fields of a request is no logic."""
    body = function.body[1:] if ast.get_docstring(function) is not None else function.body
    return (function.end_lineno or 0) - body[0].lineno + 1 if body else 0


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_module_or_function_is_long(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= MOST_MODULE_LINES
    long = [f.name for f in functions(path) if body_lines(f) > MOST_FUNCTION_LINES]
    assert long == []


def test_functions_are_short_on_the_whole() -> None:
    assert statistics.median(body_lines(f) for path in SOURCES for f in functions(path)) <= MEDIAN_FUNCTION_LINES


def test_there_is_more_test_than_half_the_source() -> None:
    def lines(paths: list[Path]) -> int:
        return sum(len(p.read_text("utf-8").splitlines()) for p in paths)

    assert lines(TESTS) > 0.5 * lines(SOURCES)


def test_no_machine_path_stands_in_the_repository() -> None:
    words = [f"{path}/" for path in (ROOT, Path.home()) if len(path.parts) > 1]
    assert words, "neither the repository nor the home directory has a path to look for"
    # files under test may come and go while it runs: coverage data of other workers among them
    skipped = {".venv", ".git", "node_modules", ".mypy_cache", ".ruff_cache", ".hypothesis", ".pytest_cache"}
    for path in ROOT.rglob("*"):
        if not path.is_file() or skipped & set(path.parts) or path.suffix in {".png", ".pyc"}:
            continue
        if path.name.startswith(".coverage"):
            continue
        text = path.read_text("utf-8", errors="ignore")
        assert [w for w in words if w in text] == [], path


def test_locked_requirements_name_no_host() -> None:
    """Versions and hashes are locked, not where they are fetched from; nobody's page for donations stands in them."""
    locks = [*(ROOT / "requirements").iterdir(), ROOT / "openapi" / "lint" / "package-lock.json"]
    assert len(locks) > 1
    for path in locks:
        text = path.read_text("utf-8")
        assert [word for word in ("://", '"resolved"', '"funding"', "--index-url") if word in text] == [], path
