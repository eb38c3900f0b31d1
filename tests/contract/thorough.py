"""`make fuzz`: every operation fuzzed with 2,000 examples, one after the other, so that a stopped run goes on.

Each operation that came through is a row of fuzzed.toml and is not done again; `--anew` begins from the first. Ends
with 1 where an operation failed, with what the fuzzer says of it.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import subprocess
import sys
import time
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tests.contract.__main__ import BIN, GOLDEN, ROOT, server

RECORD = Path(__file__).with_name("fuzzed.toml")
HEAD = "# What `make fuzz` (tests/contract/thorough.py) came through, an operation a row; written by it.\n"
CONFIG = ROOT / "tests" / "contract" / "schemathesis.toml"
_CASES = re.compile(r"(\d+) generated, (\d+) passed")
_METHODS = ("get", "post", "put", "delete", "patch", "head", "options")


@dataclass(frozen=True)
class Fuzzed:
    """An operation that came through: requests made, and with which seed they are made again."""

    operation: str
    examples: int
    generated: int
    seed: int
    day: str

    def row(self) -> str:
        """As the record holds it."""
        return (
            f'\n[[fuzzed]]\noperation = "{self.operation}"\nexamples = {self.examples}\n'
            f'generated = {self.generated}\nseed = {self.seed}\nday = "{self.day}"\n'
        )


def operations(document: Path = GOLDEN) -> tuple[str, ...]:
    """Every operation of the document, in its order."""
    paths = json.loads(document.read_text("utf-8"))["paths"].values()
    return tuple(item[method]["operationId"] for item in paths for method in _METHODS if method in item)


def recorded(file: Path = RECORD) -> tuple[Fuzzed, ...]:
    """What came through so far."""
    return tuple(Fuzzed(**row) for row in tomllib.loads(file.read_text("utf-8")).get("fuzzed", ()))


def left(examples: int, done: Sequence[Fuzzed], known: Sequence[str]) -> tuple[str, ...]:
    """Operations that did not come through with so many examples yet."""
    through = {one.operation for one in done if one.examples >= examples}
    return tuple(name for name in known if name not in through)


def command(url: str, operation: str, examples: int, seed: int) -> list[str]:
    """The fuzzer on one operation: all checks; the phase that covers each limit takes no number of examples."""
    chosen = ["--include-operation-id", operation, "--max-examples", str(examples), "--seed", str(seed)]
    how = ["--checks", "all", "--phases", "examples,fuzzing", "--workers", "1", "--wait-for-schema=240"]
    return [str(BIN / "schemathesis"), "--config-file", str(CONFIG), "run", f"{url}/openapi.json", *how, *chosen]


def fuzzed(url: str, operation: str, examples: int, seed: int) -> Fuzzed | None:
    """Fuzz one operation; nothing where it failed, and then what the fuzzer says is printed."""
    hooks = {**os.environ, "SCHEMATHESIS_HOOKS": "tests.contract.hooks"}
    asked = command(url, operation, examples, seed)
    done = subprocess.run(asked, cwd=ROOT, env=hooks, capture_output=True, text=True, check=False)  # noqa: S603
    cases = _CASES.search(done.stdout)
    if done.returncode or cases is None or cases[1] != cases[2]:
        sys.stdout.write(done.stdout + done.stderr)
        return None
    return Fuzzed(operation, examples, int(cases[1]), seed, f"{datetime.now(UTC):%Y-%m-%d}")


def run(examples: int, seed: int, minutes: float) -> Iterator[tuple[str, Fuzzed | None]]:
    """Fuzz what is left, until the time is over."""
    begun = time.monotonic()
    with server() as url:
        for operation in left(examples, recorded(), operations()):
            if time.monotonic() - begun > 60 * minutes:
                return
            yield operation, fuzzed(url, operation, examples, seed)


def main(arguments: Sequence[str] | None = None) -> int:
    """Fuzz, record, and tell; the exit code says whether anything failed."""
    parser = argparse.ArgumentParser(prog="python -m tests.contract.thorough", description=__doc__)
    parser.add_argument("--examples", type=int, default=2000, help="an operation (default 2000)")
    parser.add_argument("--seed", type=int, default=1, help="of what is made (default 1)")
    parser.add_argument("--minutes", type=float, default=600, help="after which no operation is begun (default 600)")
    parser.add_argument("--anew", action="store_true", help="forget what came through")
    options = parser.parse_args(arguments)
    if options.anew:
        RECORD.write_text(HEAD, "utf-8")
    failed = 0
    for operation, through in run(options.examples, options.seed, options.minutes):
        failed += through is None
        sys.stdout.write(
            f"{operation}: {'failed' if through is None else f'{through.generated} requests, none failed'}\n"
        )
        sys.stdout.flush()
        if through is not None:
            with RECORD.open("a", encoding="utf-8") as record:
                record.write(through.row())
    missing = left(options.examples, recorded(), operations())
    sys.stdout.write(f"left: {', '.join(missing) or 'none'}\n")
    return int(failed > 0)


if __name__ == "__main__":
    sys.exit(main())
