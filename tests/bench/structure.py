"""Measures the structure of the house: `python -m tests.bench.structure [--request PATH]`.

Code lines (no blanks, comments, docstrings), with and without imports; lengths of functions; modules a folder; the
longest chain of imports inside each package, and inside one of its folders; how often one request changes module.
"""

from __future__ import annotations

import argparse
import ast
import asyncio
import io
import json
import statistics
import sys
import tokenize
from collections.abc import Iterator, Mapping
from itertools import pairwise
from pathlib import Path
from types import FrameType
from typing import Any

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service" / "witnessmark"
EXAMPLES = ROOT / "openapi" / "examples"
PACKAGES = ("diagnosis", "calculations", "cleanup", "restart", "api")
LONG = 20
_NO_CODE = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENCODING,
    tokenize.ENDMARKER,
}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def sources() -> list[Path]:
    """Every Python file of the service, those outside of the wheel included."""
    return sorted(SERVICE.rglob("*.py"))


def _docstring_lines(tree: ast.AST) -> set[int]:
    """Lines of strings that stand as statements of their own: docstrings of modules, classes, functions, constants."""
    strings = (
        node.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)
    )
    return {line for node in strings for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)}


def _import_lines(tree: ast.AST) -> set[int]:
    nodes = (node for node in ast.walk(tree) if isinstance(node, ast.Import | ast.ImportFrom))
    return {line for node in nodes for line in range(node.lineno, (node.end_lineno or node.lineno) + 1)}


def code_lines(path: Path) -> tuple[int, int]:
    """(code lines with imports, without them) of one file."""
    text = path.read_text("utf-8")
    tokens = tokenize.generate_tokens(io.StringIO(text).readline)
    lines = {n for token in tokens if token.type not in _NO_CODE for n in range(token.start[0], token.end[0] + 1)}
    tree = ast.parse(text)
    lines -= _docstring_lines(tree)
    return len(lines), len(lines - _import_lines(tree))


def functions(path: Path) -> Iterator[Function]:
    """Every function and method of a file."""
    return (node for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, Function))


def body_lines(function: Function) -> int:
    """Lines of the body without its docstring; a signature that lists the fields of a request is no logic."""
    body = function.body[1:] if ast.get_docstring(function) is not None else function.body
    return (function.end_lineno or 0) - body[0].lineno + 1 if body else 0


def _imports(path: Path, named: Mapping[str, Path]) -> set[Path]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
    return {named[name] for name in names if name in named} - {path}


def longest_chain(package: str) -> int:
    """Modules on the longest chain of imports inside a package or a folder of one."""
    modules = [p for p in (SERVICE / package).rglob("*.py") if p.name != "__init__.py"]
    named = {".".join(p.relative_to(SERVICE.parent).with_suffix("").parts): p for p in modules}
    uses = {p: _imports(p, named) for p in modules}
    depth: dict[Path, int] = {}

    def levels(path: Path) -> int:
        if path not in depth:
            depth[path] = 1 + max(map(levels, uses[path]), default=0)
        return depth[path]

    return max(map(levels, modules), default=0)


def longest_chain_in_a_folder(package: str) -> int:
    """The same inside one of the folders of a package, with what lies below it; of the package where it has none."""
    folders = {path.parent.relative_to(SERVICE) for path in (SERVICE / package).rglob("*.py")} - {Path(package)}
    return max(map(longest_chain, map(str, folders)), default=longest_chain(package))


def most_modules(package: str) -> int:
    """Modules in the fullest folder of a package."""
    modules = [p for p in (SERVICE / package).rglob("*.py") if p.name != "__init__.py"]
    return max(sum(q.parent == folder for q in modules) for folder in {p.parent for p in modules})


def _scope(path: str, body: bytes) -> dict[str, Any]:
    headers = {"host": "x", "content-type": "application/json", "content-length": str(len(body))}
    return {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "root_path": "",
        "query_string": b"",
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 80),
        "state": {},
    }


async def _post(app: Any, path: str, body: bytes) -> int:
    """Status of one request, answered in this very thread."""
    status: list[int] = []

    async def receive() -> dict[str, Any]:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: dict[str, Any]) -> None:
        if message["type"] == "http.response.start":
            status.append(message["status"])

    await app(_scope(path, body), receive, send)
    return status[0]


async def _trail(path: str, body: bytes) -> list[str]:
    from witnessmark.api.app import app  # noqa: PLC0415 - the other measurements need no application

    trail: list[str] = []

    def watch(frame: FrameType, event: str, _argument: object) -> None:
        name = frame.f_globals.get("__name__", "")
        if event == "call" and name.startswith("witnessmark.") and not frame.f_code.co_name.startswith("<"):
            trail.append(name)

    for _ in range(2):  # caches are filled
        await _post(app, path, body)
    sys.setprofile(watch)
    try:
        status = await _post(app, path, body)
    finally:
        sys.setprofile(None)
    if status != 200:
        raise RuntimeError(f"{path} answered {status}")
    return trail


def changes_of_module(path: str) -> tuple[int, int]:
    """(calls of functions of the service, changes from module to module) of one request, caches filled."""
    example = EXAMPLES / f"{path.removeprefix('/v1/').replace('/', '_')}.json"
    body = json.dumps(next(iter(json.loads(example.read_text("utf-8")).values()))["value"]).encode()
    trail = asyncio.run(_trail(path, body))
    return len(trail), sum(a != b for a, b in pairwise(trail))


def report(path: str) -> Iterator[str]:
    """The figures, a line each."""
    counts = [code_lines(source) for source in sources()]
    lengths = [body_lines(f) for source in sources() for f in functions(source)]
    yield f"code lines: {sum(n for n, _ in counts)}, without imports {sum(n for _, n in counts)}"
    share = sum(n > LONG for n in lengths) / len(lengths)
    yield f"functions: {len(lengths)}, median {statistics.median(lengths)}, over {LONG} {share:.1%}, max {max(lengths)}"
    for package in PACKAGES:
        chains = f"chain {longest_chain(package)}, in one folder {longest_chain_in_a_folder(package)}"
        yield f"{package}: {most_modules(package)} modules in a folder at most, {chains}"
    calls, changes = changes_of_module(path)
    yield f"{path}: {calls} calls, {changes} changes of module"


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--request", default="/v1/superheat", help="operation whose way is followed")
    for line in report(parser.parse_args().request):
        sys.stdout.write(f"{line}\n")
