"""What became of each mutant so far: one JSON line each, so that a stopped run goes on where it was."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from pathlib import Path
from threading import Lock

from tests.mutation.bench import Outcome
from tests.mutation.mutants import Mutant


@dataclass
class Results:
    """The outcomes in a file. One of a module that has been edited since then does not count."""

    path: Path
    source: Callable[[str], str]
    """Gives the text of a module."""
    outcomes: dict[str, Outcome] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def __post_init__(self) -> None:
        lines = self.path.read_text("utf-8").splitlines() if self.path.is_file() else []
        texts: dict[str, str] = {}
        for row in map(json.loads, lines):
            module = row["key"].split("|")[0]
            if row["text"] == texts.setdefault(module, self._print(module)):
                self.outcomes[row["key"]] = Outcome(**row["outcome"])

    def add(self, mutant: Mutant, outcome: Outcome) -> None:
        """Keep one outcome, in memory and at the end of the file."""
        row = {"key": mutant.key, "text": self._print(mutant.module), "outcome": asdict(outcome)}
        with self._lock:
            self.outcomes[mutant.key] = outcome
            self.path.parent.mkdir(parents=True, exist_ok=True)
            with self.path.open("a", encoding="utf-8") as file:
                file.write(json.dumps(row) + "\n")

    def _print(self, module: str) -> str:
        try:
            return hashlib.sha256(self.source(module).encode()).hexdigest()[:16]
        except FileNotFoundError:
            return ""
