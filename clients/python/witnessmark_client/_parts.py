"""A large file, part by part: what is done stays done, so that a run that broke off goes on where it was."""

from __future__ import annotations

import hashlib
import json
import shutil
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from witnessmark_client._files import MEDIA, FileError, Part, blank_lines, first_bad, joined, parts
from witnessmark_client._progress import Tell
from witnessmark_client._senders import Answered, Sender

MOST_BAD = 5
STATE = "state.json"


@dataclass(frozen=True, slots=True)
class Asked:
    """One command."""

    calculation: str
    file: str
    out: str
    takes: str
    gives: str
    same: dict[str, str]
    rename: dict[str, str]
    keep: str
    report_in: str
    part: int

    def query(self, first: int) -> dict[str, str]:
        """What the address says to a part."""
        keep = {"keep": self.keep} if self.keep else {}
        return {**self.same, **keep, "report_in": self.report_in, "first_row": str(first)}

    def folder(self) -> Path:
        """Where what is done is kept until all is."""
        return Path(f"{self.out if self.out != '-' else 'standard-output'}.parts")

    def mark(self) -> str:
        """What a run that goes on must have in common with the one that broke off."""
        path = Path(self.file)
        stat = [path.stat().st_size, path.stat().st_mtime_ns] if path.is_file() else []
        return hashlib.sha256(json.dumps([asdict(self), stat], sort_keys=True).encode()).hexdigest()


@dataclass(slots=True)
class Outcome:
    """What came of the rows so far. done: how far the file is read; blank: lines that are no rows."""

    mark: str = ""
    done: int = 0
    parts: int = 0
    rows: int = 0
    blank: int = 0
    failed: int = 0
    errors: dict[str, int] = field(default_factory=dict)
    first_bad: list[tuple[int, str]] = field(default_factory=list)
    notes: dict[str, list[str]] = field(default_factory=dict)

    def add(self, answer: Answered, form: str, done: int) -> None:
        """One more part."""
        if answer.failed and len(self.first_bad) < MOST_BAD:
            self.first_bad += first_bad(answer.content, form, MOST_BAD - len(self.first_bad))
        self.errors = dict(Counter(self.errors) + Counter(answer.errors))
        for name, texts in answer.notes.items():
            self.notes[name] = list(dict.fromkeys([*self.notes.get(name, ()), *texts]))
        self.done, self.parts = done, self.parts + 1
        self.rows, self.failed = self.rows + answer.rows, self.failed + answer.failed


def checked(asked: Asked, sender: Sender, tell: Tell) -> Outcome:
    """Every row of the file answered, in the file that was asked for. Errors: WitnessmarkError, FileError."""
    if asked.out == "-" and asked.gives != "parquet":
        return _passed_on(asked, sender, tell)
    folder = asked.folder()
    outcome = _begun(asked, folder)
    for done, body in _left(asked, outcome.done):
        answer = _sent(asked, sender, outcome, body)
        (folder / f"{outcome.parts:06}").write_bytes(answer.content)
        outcome.add(answer, asked.gives, done)
        outcome.blank += blank_lines(body, asked.takes)
        _keep(folder, outcome)
        tell(outcome.done, outcome.rows)
    files = [folder / f"{number:06}" for number in range(outcome.parts)]
    joined(files, asked.gives, sys.stdout.buffer if asked.out == "-" else asked.out)
    shutil.rmtree(folder)
    return outcome


def _left(asked: Asked, start: int) -> Iterator[Part]:
    return parts(asked.file, asked.takes, asked.part, start, asked.rename)


def _sent(asked: Asked, sender: Sender, outcome: Outcome, body: bytes) -> Answered:
    media = (MEDIA[asked.takes], MEDIA[asked.gives])
    return sender.send(asked.calculation, asked.query(outcome.rows + outcome.blank), media, body)


def begun(asked: Asked) -> dict[str, Any]:
    """What a run of the same command that broke off wrote down; nothing where there was none."""
    try:
        known: dict[str, Any] = json.loads((asked.folder() / STATE).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return known if asked.file != "-" and known.get("mark") == asked.mark() else {}


def _begun(asked: Asked, folder: Path) -> Outcome:
    """What a run that broke off had done, if it was the same; else nothing, in an empty folder."""
    if known := begun(asked):
        bad = [(row, text) for row, text in known.pop("first_bad")]
        return Outcome(**known, first_bad=bad)
    if folder.is_dir() and any(folder.iterdir()) and not (folder / STATE).exists():
        raise FileError(f"{folder}: holds files that no run of this command wrote; give --out another name")
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    return Outcome(asked.mark())


def _keep(folder: Path, outcome: Outcome) -> None:
    """Write down what is done; whole or not at all."""
    new = folder / f"{STATE}.new"
    new.write_text(json.dumps(asdict(outcome)), "utf-8")
    new.replace(folder / STATE)


def _passed_on(asked: Asked, sender: Sender, tell: Tell) -> Outcome:
    """Every answer goes to the standard output at once."""
    outcome, out = Outcome(), sys.stdout.buffer
    for done, body in _left(asked, 0):
        answer = _sent(asked, sender, outcome, body)
        skipped = answer.content.find(b"\n") + 1 if outcome.parts and asked.gives == "csv" else 0
        out.write(answer.content[skipped:])
        out.flush()
        outcome.add(answer, asked.gives, done)
        outcome.blank += blank_lines(body, asked.takes)
        tell(outcome.done, outcome.rows)
    return outcome
