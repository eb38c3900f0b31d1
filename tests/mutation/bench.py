"""A copy of the project in which one mutant after the other is tried; the project itself is never changed."""

from __future__ import annotations

import compileall
import json
import os
import select
import shutil
import signal
import subprocess
import sys
import weakref
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import IO

from tests.mutation.mutants import ROOT, SOURCE, Mutant, change
from tests.mutation.selection import mirror, wider

LEFT_OUT = shutil.ignore_patterns(
    ".git", ".venv", "node_modules", "build", "dist", ".*_cache", ".hypothesis", ".coverage*", "__pycache__"
)
PYTEST = (
    "-x",
    "-q",
    "--no-header",
    "-p",
    "no:randomly",
    "-p",
    "no:schemathesis",
    "-p",
    "no:cacheprovider",
    "-o",
    "timeout=600",
    "-W",
    "ignore::pytest.PytestAssertRewriteWarning",  # plugins are imported before
)
WALL_PER_CPU = 60
"""Other work on the machine may slow a run this much before it is ended; one that waits for ever is ended by this."""
FREE_SECONDS, FACTOR = 10, 5
"""A mutant may take this many seconds of processor time, plus this many times what the unchanged module takes."""


@dataclass(frozen=True)
class Trial:
    """What one run of tests came to."""

    code: int
    seconds: float
    """Processor time."""
    failed: str | None
    """The first test that failed."""


@dataclass(frozen=True)
class Outcome:
    """Whether a mutant was noticed, by what, and what it cost (seconds of processor time)."""

    killed: bool
    by: str
    """mirror, wider, or time; for a survivor: all, or cut if the time for the wider tests ran out."""
    test: str | None
    seconds: float


class RedError(Exception):
    """The tests of a module fail without any mutant, so that nothing can be said about its mutants."""


@dataclass(eq=False)
class Bench:
    """A copy of the project below `folder`, and what its tests take when nothing is changed."""

    folder: Path
    wider_seconds: int
    """Processor time for the wider tests of one mutant; 0 leaves them out."""
    _needed: dict[str, float] = field(default_factory=dict)
    _red: set[str] = field(default_factory=set)

    @classmethod
    def copied(cls, folder: Path, wider_seconds: int, root: Path = ROOT) -> Bench:
        """Copy the project without what is built from it."""
        shutil.copytree(root, folder, ignore=LEFT_OUT)
        compileall.compile_dir(folder, quiet=2)
        return cls(folder, wider_seconds)

    def judged(self, mutant: Mutant, *, proven: bool) -> Outcome:
        """Try a mutant on the tests of its module, then on the wider ones, unless it is proven that none can notice it.

        Raises:
            RedError: no test of the module passes without the mutant.
        """
        code = change(mutant, (self.folder / SOURCE / mutant.module).read_text("utf-8")).code
        near = self._near(mutant.module, code)
        if near.killed or proven or not self.wider_seconds:
            return near
        return self._far(mutant.module, code, near.seconds)

    def _near(self, module: str, code: str) -> Outcome:
        tests = mirror(self.folder, module)
        if not tests:
            return Outcome(killed=False, by="all", test=None, seconds=0.0)
        limit = int(FREE_SECONDS + FACTOR * self._unchanged(tests[0]))
        with self._changed(module, code):
            trial = self._run(tests, limit)
        if trial is None:
            return Outcome(killed=True, by="time", test=None, seconds=limit)
        return Outcome(trial.code != 0, "mirror" if trial.code else "all", trial.failed, trial.seconds)

    def _far(self, module: str, code: str, spent: float) -> Outcome:
        tests = wider(self.folder, module)
        while tests:
            with self._changed(module, code):
                trial = self._run(tests, self.wider_seconds)
            if trial is None:
                return Outcome(killed=False, by="cut", test=None, seconds=spent + self.wider_seconds)
            spent += trial.seconds
            if trial.code == 0:
                break
            if self._green(trial.failed or tests[0]):
                return Outcome(killed=True, by="wider", test=trial.failed, seconds=spent)
        return Outcome(killed=False, by="all", test=None, seconds=spent)

    def _unchanged(self, test: str) -> float:
        while test not in self._needed:
            trial = self._run([test], 600)
            if trial is not None and trial.code == 0:
                self._needed[test] = trial.seconds
            elif trial is None or trial.failed is None or trial.failed in self._red:
                raise RedError(f"{test} fails without a mutant: {trial}")
            else:
                self._red.add(trial.failed)
        return self._needed[test]

    def _green(self, test: str) -> bool:
        """Say whether a test passes without a mutant; one that does not is left out from now on."""
        trial = self._run([test], 600)
        if trial is not None and trial.code == 0:
            return True
        self._red.add(test)
        return False

    @contextmanager
    def _changed(self, module: str, code: str) -> Iterator[None]:
        """Put another text in the place of a module, and set its time apart: compiled files go by time and size."""
        path = self.folder / SOURCE / module
        text, when = path.read_bytes(), path.stat().st_mtime
        try:
            path.write_text(code, "utf-8")
            os.utime(path, (when + 1e6, when + 1e6))
            yield
        finally:
            path.write_bytes(text)
            os.utime(path, (when, when))

    def _run(self, tests: list[str], cpu_seconds: int) -> Trial | None:
        """Run tests in the copy, less the red ones; nothing if they came to no end or ended the interpreter."""
        out = self.folder / "trial.json"
        out.unlink(missing_ok=True)
        asked, answers = self._runner
        left_out = (f"--deselect={name}" for name in sorted(self._red))
        asked.write(json.dumps([str(out), str(cpu_seconds), *PYTEST, *tests, *left_out]).encode() + b"\n")
        process = int(answers.readline())
        select.select([answers], [], [], WALL_PER_CPU * cpu_seconds)
        with suppress(ProcessLookupError):
            os.killpg(process, signal.SIGKILL)  # its children too
        answers.readline()
        return Trial(**json.loads(out.read_text("utf-8"))) if out.is_file() else None

    @cached_property
    def _runner(self) -> tuple[IO[bytes], IO[bytes]]:
        """The process that runs tests in the copy, as its input and output; it ends when its input is closed."""
        here = os.pathsep.join(str(self.folder / part) for part in ("service", "clients/python", "."))
        process = subprocess.Popen(
            [sys.executable, "-m", "tests.mutation.trial"],
            bufsize=0,
            cwd=self.folder,
            env={**os.environ, "PYTHONPATH": here, "PYTHONDONTWRITEBYTECODE": "1"},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        assert process.stdin is not None
        assert process.stdout is not None
        weakref.finalize(self, _ended, process)
        return process.stdin, process.stdout


def _ended(process: subprocess.Popen[bytes]) -> None:
    for pipe in (process.stdin, process.stdout):
        assert pipe is not None
        pipe.close()
    process.wait()
