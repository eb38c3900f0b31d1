"""Runs of tests, each in a process of its own: `python -m tests.mutation.trial` takes one a line from its input.

A line is a JSON list: OUT, CPU_SECONDS, pytest-argument…. The exit code, the processor time and the first test that
failed are written to OUT, as JSON. A run that takes more processor time than it may, or more than 8 GiB of memory, ends
without; so does one that ends the interpreter. The answer is the number of the process, then an empty line when it has
ended. What no mutant changes (pytest and the libraries) is imported once, before the first run: that is most of a
short run.
"""

from __future__ import annotations

import json
import os
import resource
import sys
import time
from contextlib import suppress
from importlib import import_module
from pathlib import Path

import pytest

MOST_MEMORY = 8 << 30
UNCHANGED = (
    "numpy",
    "scipy.optimize",
    "scipy.special",
    "scipy.stats",
    "CoolProp.CoolProp",
    "pydantic",
    "fastapi.testclient",
)


class FirstFailure:
    """Remembers which test failed first, while collecting or running."""

    def __init__(self) -> None:
        self.name: str | None = None

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """Note a test file that could not be read."""
        self._note(report)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note a test that failed."""
        self._note(report)

    def _note(self, report: pytest.CollectReport | pytest.TestReport) -> None:
        if report.failed and self.name is None:
            self.name = report.nodeid


def main(out: str, cpu_seconds: str, *arguments: str) -> int:
    """Run pytest within the limits; returns its exit code."""
    resource.setrlimit(resource.RLIMIT_CPU, (int(cpu_seconds), int(cpu_seconds) + 5))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    first = FirstFailure()
    code = int(pytest.main(list(arguments), plugins=[first]))
    result = {"code": code, "seconds": time.process_time(), "failed": first.name}
    Path(out).write_text(json.dumps(result), "utf-8")
    return code


def serve() -> None:
    """Run what the lines of the input ask for, one after the other, until it ends."""
    for name in UNCHANGED:
        with suppress(ImportError):
            import_module(name)
    for line in sys.stdin:
        process = os.fork()
        if process == 0:
            os.setsid()
            nowhere = os.open(os.devnull, os.O_RDWR)
            for stream in range(3):
                os.dup2(nowhere, stream)
            os._exit(main(*json.loads(line)))
        print(process, flush=True)  # noqa: T201
        os.waitpid(process, 0)
        print(flush=True)  # noqa: T201


if __name__ == "__main__":
    serve()
