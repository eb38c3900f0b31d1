"""`python -m tests.evaluation.seeds`: statistical tests of the suite under twenty other seeds, in bounded time.

A test that fails under some seed rests on luck: its sample is to be enlarged, or the test deleted. Runs that are done
are kept in build/seeds.jsonl, so that what was stopped, or ran out of time, goes on where it was. Ends with 1 where a
test failed.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from xml.etree import ElementTree as ET

from tests.evaluation.shifted import VARIABLE

ROOT = Path(__file__).parents[2]
KEPT = ROOT / "build" / "seeds.jsonl"
FILES = (
    "tests/evaluation/vacuum/test_score.py",
    "tests/calculations/tightness/test_decay_fit.py",
    "tests/calculations/tightness/test_evacuation.py",
    "tests/calculations/metrology/test_uncertainty.py",
    "tests/calculations/metrology/test_bounded_errors.py",
    "tests/calculations/metrology/test_reconciliation.py",
    "tests/cleanup/test_trend.py",
    "tests/cleanup/test_debris_balance.py",
    "tests/calculations/circuit/test_superheat.py",
    "tests/calculations/circuit/test_noncondensables.py",
    "tests/calculations/compressor/test_wet_suction.py",
    "tests/calculations/compressor/test_compression.py",
    "tests/calculations/cycle/test_cycle.py",
    "tests/diagnosis/review/test_outcome_scores.py",
    "tests/diagnosis/test_knowledge_content.py",
    "tests/evaluation/test_units.py",
    "tests/trend/test_sensors.py",
    "tests/trend/test_always_so.py",
    "tests/trend/test_duty.py",
)
"""Where something is asserted of a sample that the test draws."""
ODD = frozenset({"failure", "error"})


@dataclass(frozen=True, slots=True)
class Run:
    """One file under one seed: how many tests passed, and which did not."""

    file: str
    seed: int
    passed: int
    failed: tuple[str, ...]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run and tell."""
    parser = argparse.ArgumentParser("tests.evaluation.seeds", description=__doc__)
    parser.add_argument("files", nargs="*", default=FILES, help="files of tests (default: all with a sample)")
    parser.add_argument("--seeds", type=int, default=20, help="so many shifts of all seeds (default 20)")
    parser.add_argument("--minutes", type=float, default=60.0, help="after which no further run begins (default 60)")
    parser.add_argument("--kept", type=Path, default=KEPT, help="file of runs, one a line")
    options = parser.parse_args(arguments)
    runs = list(_runs(options))
    sys.stdout.write(page(runs, options.files, options.seeds) + "\n")
    return int(any(run.failed for run in runs))


def _runs(options: argparse.Namespace) -> Iterator[Run]:
    """Those kept, then the others as they come, until the time is over: one seed of every file before the next."""
    kept = {(run.file, run.seed): run for run in _read(options.kept)}
    until = time.monotonic() + 60.0 * options.minutes
    for seed in range(1, options.seeds + 1):
        for file in options.files:
            if (file, seed) not in kept:
                if time.monotonic() > until:
                    continue
                kept[file, seed] = tried(file, seed)
                options.kept.parent.mkdir(parents=True, exist_ok=True)
                with options.kept.open("a", encoding="utf-8") as out:
                    out.write(json.dumps(asdict(kept[file, seed])) + "\n")
            yield kept[file, seed]


def _read(path: Path) -> Iterator[Run]:
    for line in path.read_text("utf-8").splitlines() if path.exists() else ():
        row = json.loads(line)
        yield Run(row["file"], row["seed"], row["passed"], tuple(row["failed"]))


def tried(file: str, seed: int, root: Path = ROOT) -> Run:
    """Run one file in a process of its own. RuntimeError where it did not come to its tests."""
    with TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", f"--junitxml={report}", file]
        done = subprocess.run(  # noqa: S603 - our own tests
            command, cwd=root, env={**os.environ, VARIABLE: str(seed)}, capture_output=True, text=True, check=False
        )
        if not report.exists():
            raise RuntimeError(done.stdout + done.stderr)
        cases = list(ET.parse(report).iter("testcase"))  # noqa: S314 - written by our own process
    failed = tuple(case.get("name", "") for case in cases if ODD & {part.tag for part in case})
    skipped = sum(part.tag == "skipped" for case in cases for part in case)
    if not cases:
        raise RuntimeError(done.stdout + done.stderr)
    return Run(file, seed, len(cases) - len(failed) - skipped, failed)


def page(runs: Iterable[Run], files: Sequence[str], seeds: int) -> str:
    """A row a file: seeds tried, tests, and under how many seeds a test failed."""
    by_file: defaultdict[str, list[Run]] = defaultdict(list)
    for run in runs:
        by_file[run.file].append(run)
    lines = [
        "| tests | seeds tried | tests that passed under a seed, fewest | failed under how many seeds |",
        "|---|---|---|---|",
    ]
    lines += [_line(file, by_file[file], seeds) for file in files]
    return "\n".join(lines)


def _line(file: str, mine: Sequence[Run], seeds: int) -> str:
    failed: Mapping[str, int] = Counter(name for run in mine for name in run.failed)
    told = ", ".join(f"{name} {count}" for name, count in failed.items()) or ("none" if mine else "not tried")
    fewest = min((run.passed for run in mine), default=0)
    return f"| {file} | {len(mine)} of {seeds} | {fewest} | {told} |"


if __name__ == "__main__":
    sys.exit(main())
