"""`python -m tests.published`: how many checks stand against something outside, and against how many sources."""

from __future__ import annotations

import subprocess
import sys

from tests.published.register import FOLDER, cases, sources

LEAST_CASES, LEAST_SOURCES = 250, 60


def main() -> int:
    """Print both counts; 1 if either is below the aim."""
    command = [sys.executable, "-m", "pytest", "-q", "--collect-only", "-n", "0", str(FOLDER)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)  # noqa: S603 - nothing from outside
    found, register = cases(done.stdout.splitlines()), sources()
    counted, kinds = sum(found.values()), sum(row.kind_only for row in register)
    sys.stdout.write(f"outside checks: {counted} cases of {len(found)} tests (aim {LEAST_CASES})\n")
    sys.stdout.write(f"sources: {len(register)} (aim {LEAST_SOURCES}); of {kinds} only the kind is known\n")
    return int(counted < LEAST_CASES or len(register) < LEAST_SOURCES)


if __name__ == "__main__":
    sys.exit(main())
