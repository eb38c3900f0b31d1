"""Which tests may notice a fault in a module: its mirror first, then those nearest to it by imports."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from tests.mutation.mutants import SOURCE

EVERYWHERE = ("published", "api")
"""Folders of tests that go with every package."""


def mirror(root: Path, module: str) -> list[str]:
    """Return the test file of a module, if it has one: `a/b.py` is tested by `tests/a/test_b.py`."""
    path = Path("tests", module).with_name(f"test_{Path(module).name}")
    return [path.as_posix()] if (root / path).is_file() else []


def wider(root: Path, module: str) -> list[str]:
    """Return the other tests of the package, the published ones and those of the web edge that reach a module.

    The nearest come first; distance is the number of imports between.
    """
    folders = (module.partition("/")[0], *EVERYWHERE)
    tests = [path for folder in folders for path in sorted((root / "tests" / folder).rglob("test_*.py"))]
    distances = _distances(root, module)
    reached = {path: min((distances[m] for m in _tested(root, path) if m in distances), default=None) for path in tests}
    near = sorted(
        (distance, path.relative_to(root).as_posix()) for path, distance in reached.items() if distance is not None
    )
    return [name for _, name in near if name not in mirror(root, module)]


def _distances(root: Path, module: str) -> dict[str, int]:
    graph = _graph(root)
    distances, front = {module: 0}, [module]
    while front:
        front = [name for name, uses in graph.items() if name not in distances and uses & set(front)]
        distances |= dict.fromkeys(front, max(distances.values()) + 1)
    return distances


@cache
def _graph(root: Path) -> dict[str, set[str]]:
    base = root / SOURCE
    return {path.relative_to(base).as_posix(): set(_imports(root, path)) for path in base.rglob("*.py")}


def _tested(root: Path, test: Path) -> set[str]:
    name = Path(test.relative_to(root / "tests")).with_name(test.name.removeprefix("test_")).as_posix()
    mirrored = {name, name.replace("api/", "api/routes/", 1)}
    return set(_imports(root, test)) | {module for module in mirrored if (root / SOURCE / module).is_file()}


def _imports(root: Path, path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module is not None:
            yield from _found(root, node.module, *(f"{node.module}.{alias.name}" for alias in node.names))
        elif isinstance(node, ast.Import):
            yield from _found(root, *(alias.name for alias in node.names))


def _found(root: Path, *dotted: str) -> Iterator[str]:
    base = root / SOURCE
    for name in dotted:
        below = base.parent / name.replace(".", "/")
        for path in (below.with_suffix(".py"), below / "__init__.py"):
            if name.startswith(base.name) and path.is_file():
                yield path.relative_to(base).as_posix()
