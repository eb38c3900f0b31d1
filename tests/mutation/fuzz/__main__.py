"""Fuzz quantities, heads of requests, bodies and notes, guided by the branches that they reach: `make fuzz-deep`.

The corpus stays in build/fuzz/<target>, so that a further run goes on where the last one was; what broke a promise is
kept there as `crash-…` or `slow-unit-…` and goes, once mended, into tests/mutation/fuzz/seeds. Every run is one row of
tests/mutation/fuzz/record.toml. The exit code is 1 if a promise was broken.

examples:
  python -m tests.mutation.fuzz                                all targets, 60 s each
  python -m tests.mutation.fuzz --target notes --seconds 7200  one target, two hours
  python -m tests.mutation.fuzz --runs 10000000 --seconds 0    by number and not by time
"""

from __future__ import annotations

import argparse
import datetime as dt
import re
import resource
import signal
import subprocess
import sys
from dataclasses import asdict, dataclass
from pathlib import Path

from tests.mutation.fuzz.seeds import lay_out

ROOT = Path(__file__).parents[3]
RECORD = Path(__file__).with_name("record.toml")
NAMES = ("quantities", "headers", "bodies", "notes")
SLOWEST = 20
"""Seconds for one input, beyond which it counts as a fault; by the clock, so with room for a busy machine."""
ENDED = (0, 72, -signal.SIGTERM, -signal.SIGINT)
"""Codes of a run that broke no promise: at its own end, or told to stop (72 once it has begun)."""
_DONE = re.compile(r"stat::number_of_executed_units: (\d+)")
_REACHED = re.compile(r"cov: (\d+)")


@dataclass(frozen=True, slots=True)
class Run:
    """One run of one target. seconds by the clock, processor those of a core that it had of them.

    branches: places of the source that its corpus reaches; faults: broken promises.
    """

    target: str
    day: str
    seed: int
    seconds: int
    processor: int
    executions: int
    branches: int
    corpus: int
    faults: int


def run(target: str, options: argparse.Namespace) -> Run:
    """Fuzz one target in a process of its own."""
    corpus = options.corpus / target
    lay_out(target, corpus)
    limits = [f"-max_total_time={options.seconds}", f"-runs={options.runs}", f"-seed={options.seed}"]
    kept = [f"-artifact_prefix={corpus.parent}/{target}-", "-print_final_stats=1", f"-timeout={SLOWEST}"]
    command = [sys.executable, "-m", "tests.mutation.fuzz.child", target, *limits, *kept, "-max_len=4096", str(corpus)]
    begun, before = dt.datetime.now(dt.UTC), _processor()
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)  # noqa: S603
    seconds = (dt.datetime.now(dt.UTC) - begun).total_seconds()
    executions, reached = _DONE.findall(done.stderr), _REACHED.findall(done.stderr)
    faults = int(done.returncode not in ENDED)
    if faults:
        sys.stderr.write(done.stderr[-8000:])
    return Run(
        target, f"{begun:%Y-%m-%d}", options.seed, round(seconds), round(_processor() - before),
        int(executions[-1]) if executions else 0,
        int(reached[-1]) if reached else 0, sum(1 for _ in corpus.iterdir()), faults,
    )  # fmt: skip


def _processor() -> float:
    """Seconds of a core that all runs had so far."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def record(done: Run, file: Path = RECORD) -> None:
    """Add a row."""
    rows = "".join(f"{name} = {value!r}\n".replace("'", '"') for name, value in asdict(done).items())
    with file.open("a", encoding="utf-8") as out:
        out.write(f"\n[[run]]\n{rows}")


def main(words: list[str]) -> int:
    """Fuzz what is asked for; the exit code."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.mutation.fuzz", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--target", action="append", choices=NAMES, help="only this one (all)")
    parser.add_argument("--seconds", type=int, default=60, help="each; 0 for no end but --runs (60)")
    parser.add_argument("--runs", type=int, default=-1, help="executions each; -1 for no end but --seconds (-1)")
    parser.add_argument("--seed", type=int, default=1, help="of the changes that are made (1)")
    parser.add_argument("--corpus", type=Path, default=ROOT / "build" / "fuzz", help="kept between runs (build/fuzz)")
    options = parser.parse_args(words)
    if options.seconds == 0 and options.runs < 0:
        parser.error("without an end: give --seconds or --runs")
    found = [run(target, options) for target in options.target or NAMES]
    for one in found:
        record(one)
        sys.stdout.write(f"{one}\n")
    return int(any(one.faults for one in found))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
