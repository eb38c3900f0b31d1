"""Every mutant of the source, a reproducible sample of them, and the changed text of one."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain, zip_longest
from pathlib import Path

import parso
from cosmic_ray.ast import ast_nodes
from cosmic_ray.mutating import mutate_code
from parso.tree import NodeOrLeaf

from tests.mutation.operators import KINDS, meant, operator

ROOT = Path(__file__).parents[2]
SOURCE = Path("service/witnessmark")
PACKAGES = ("refrigerants", "calculations", "diagnosis", "cleanup", "restart")
NOT_SERVED = ("diagnosis/evaluation/", "diagnosis/page.py", "diagnosis/case_page.py")
"""Pages and measurements, which no request enters."""


@dataclass(frozen=True)
class Mutant:
    """One fault that can be put into one place; it is the same mutant after lines above it came or went."""

    module: str
    """Path below the package, as `restart/gate.py`."""
    within: str
    """Function or class around it, as `Gate.verdict`; empty at module level."""
    kind: str
    operator: str
    occurrence: int
    """Which of the operator's changes in the module, counted from the top."""
    row: int
    """Line in the file, from 1."""
    text: str
    """That line, without the blanks around it."""
    repeat: int
    """How many like it stand above it in the same function."""

    @property
    def key(self) -> str:
        """A name that no other mutant has and that no shift of lines changes."""
        return "|".join((self.module, self.within, self.operator, self.text, str(self.repeat)))


@dataclass(frozen=True)
class Change:
    """The lines that a mutant changes, each run of blanks as one, and the whole text of the changed module."""

    before: str
    after: str
    code: str


def modules(root: Path = ROOT, packages: tuple[str, ...] = PACKAGES) -> list[str]:
    """Return the modules of physics and reasoning, as paths below the package."""
    base = root / SOURCE
    names = (
        path.relative_to(base).as_posix() for package in packages for path in sorted((base / package).rglob("*.py"))
    )
    return [name for name in names if not name.startswith(NOT_SERVED)]


def mutants(module: str, source: str) -> Iterator[Mutant]:
    """Yield every mutant of a module, kind by kind, from the top."""
    nodes = list(ast_nodes(parso.parse(source)))
    lines = source.splitlines()
    for kind, names in KINDS.items():
        for name in names:
            seen: Counter[tuple[str, str]] = Counter()
            places = ((node, start) for node in nodes for start, _ in operator(name).mutation_positions(node))
            for occurrence, (node, (row, _)) in enumerate(places):
                within, text = _within(node), lines[row - 1].strip()
                if meant(name, node):
                    yield Mutant(module, within, kind, name, occurrence, row, text, seen[within, text])
                    seen[within, text] += 1


def _within(node: NodeOrLeaf) -> str:
    names: list[str] = []
    while node.parent is not None:
        node = node.parent
        if node.type in {"funcdef", "classdef"}:
            names.insert(0, node.name.value)
    return ".".join(names)


def change(mutant: Mutant, source: str) -> Change:
    """Return what a mutant changes.

    Raises:
        LookupError: the source has no such place.
    """
    code = mutate_code(source, operator(mutant.operator), mutant.occurrence)
    if code is None:
        raise LookupError(mutant.key)
    old, new = source.splitlines(), code.splitlines()
    top = next((i for i, (a, b) in enumerate(zip(old, new, strict=False)) if a != b), min(len(old), len(new)))
    shortest = min(len(old), len(new)) - top
    backward = zip(reversed(old), reversed(new), strict=False)
    end = min(shortest, next((i for i, (a, b) in enumerate(backward) if a != b), shortest))
    return Change(_plain(old[top : len(old) - end]), _plain(new[top : len(new) - end]), code)


def _plain(lines: list[str]) -> str:
    return " ".join(" ".join(lines).split())


def sampled(every: list[Mutant], size: int, seed: int) -> list[Mutant]:
    """Draw from all kinds alike, so that rare ones are tried too: the first of each, the second of each, and so on.

    The place of a mutant in the draw depends on the seed and on itself, not on what stands around it, so that an edit
    of the source leaves the rest of the sample as it was; a smaller sample is the beginning of a larger one.
    """
    by_kind = {kind: sorted((m for m in every if m.kind == kind), key=lambda m: _rank(m, seed)) for kind in KINDS}
    rounds = chain.from_iterable(zip_longest(*by_kind.values()))
    return [mutant for mutant in rounds if mutant is not None][:size]


def _rank(mutant: Mutant, seed: int) -> str:
    return hashlib.sha256(f"{seed}|{mutant.key}".encode()).hexdigest()
