"""One run of tests in a process of its own: `python -m tests.mutation.trial OUT CPU_SECONDS pytest-argument…`.

It writes the exit code, the processor time and the first test that failed to OUT, as JSON. A run that takes more
processor time than it may, or more than 8 GiB of memory, ends without; so does one that ends the interpreter.
"""

from __future__ import annotations

import json
import resource
import sys
import time
from pathlib import Path

import pytest

MOST_MEMORY = 8 << 30


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


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
