"""Mutants that no test can notice, each with a line of proof, kept in equivalent.toml."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from pathlib import Path

from tests.mutation.mutants import Change, Mutant

FILE = Path(__file__).with_name("equivalent.toml")


@dataclass(frozen=True)
class Equivalent:
    """A change that leaves every result as it was; it is named by the text of the line, not by its number."""

    module: str
    within: str
    line: str
    replacement: str
    proof: str


Proofs = dict[tuple[str, str, str, str], str]
"""The proof by module, function, line and replacement."""


def proofs(path: Path = FILE) -> Proofs:
    """Return the proofs.

    Raises:
        ValueError: a row lacks a word, has one too many or stands twice.
    """
    table: Proofs = {}
    for row in tomllib.loads(path.read_text("utf-8")).get("equivalent", []):
        if set(row) != {field.name for field in fields(Equivalent)} or not all(row[n] for n in row if n != "within"):
            raise ValueError(f"{path.name}: {row}")
        entry = Equivalent(**row)
        key = (entry.module, entry.within, entry.line, entry.replacement)
        if key in table:
            raise ValueError(f"{path.name}: twice: {key}")
        table[key] = entry.proof
    return table


def proof(mutant: Mutant, changed: Change, table: Proofs) -> str | None:
    """Return the proof that no test can notice a mutant, if there is one."""
    return table.get((mutant.module, mutant.within, changed.before, changed.after))
