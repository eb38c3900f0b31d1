"""Put small faults into a copy of the source, one at a time, and see whether the tests notice.

Each mutant of the sample is tried on the test file that mirrors its module; if it survives, on the other tests of its
package, the published ones and those of the web edge that reach the module, nearest first. Outcomes are kept line by
line in the results file, so that a run that was stopped, or ran out of minutes, goes on where it was; an outcome counts
as long as its module is unchanged. A survivor gets a test, or, if no test can notice it, a row with a line of proof in
tests/mutation/equivalent.toml. The exit code is 1 if more than --most of the mutants survive that could be noticed.

examples:
  make mutants                                             300 mutants of physics and reasoning, seed 1
  python -m tests.mutation --package restart --sample 40   one package
  python -m tests.mutation --module restart/gate.py        one module (repeat for more)
  python -m tests.mutation --list --sample 20              show what would be tried
  python -m tests.mutation --rerun-survivors               after new tests: survivors once more
  python -m tests.mutation --seed 2                        a fresh sample
  python -m tests.mutation --share 1/3 --results build/a.jsonl   the first of three machines; afterwards put the files
                                                           together as build/mutants.jsonl and run once more
"""

from __future__ import annotations

import argparse
import signal
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

from tests.mutation.bench import Bench, Outcome, RedError
from tests.mutation.equivalents import Proofs, proof, proofs
from tests.mutation.mutants import PACKAGES, ROOT, SOURCE, Mutant, change, modules, mutants, sampled
from tests.mutation.operators import KINDS
from tests.mutation.results import Results
from tests.mutation.summary import Scored, adjusted, summary

MOST_WORKERS = 2


def arguments(words: list[str]) -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.mutation", description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--sample", type=int, default=300, help="mutants to try, all kinds alike (300)")
    parser.add_argument("--seed", type=int, default=1, help="which sample; the same seed gives the same one (1)")
    parser.add_argument("--minutes", type=float, default=90, help="start no mutant after this time (90)")
    parser.add_argument("--package", action="append", choices=PACKAGES, help="only this package (all)")
    parser.add_argument("--module", action="append", help="only this module or folder, as restart/gate.py (all)")
    parser.add_argument("--kind", action="append", choices=KINDS, help="only this kind of fault (all)")
    parser.add_argument("--share", default="1/1", help="only the i-th of n parts of the sample, as 2/3 (1/1)")
    parser.add_argument("--workers", type=int, choices=range(1, MOST_WORKERS + 1), default=1, help="at a time (1)")
    parser.add_argument("--wider", type=int, default=40, metavar="SECONDS", help="processor time for wider tests (40)")
    parser.add_argument("--most", type=float, default=0.10, help="share of survivors that is still good (0.10)")
    parser.add_argument("--results", type=Path, default=ROOT / "build" / "mutants.jsonl", help="build/mutants.jsonl")
    parser.add_argument("--list", action="store_true", help="show the sample and what is known of it; try nothing")
    parser.add_argument("--rerun-survivors", action="store_true", help="try the survivors of the sample once more")
    return parser.parse_args(words)


def source(module: str) -> str:
    """Return the text of a module."""
    return (ROOT / SOURCE / module).read_text("utf-8")


def drawn(options: argparse.Namespace) -> list[Mutant]:
    """Return the part of the sample that this run is to try."""
    names = modules(packages=tuple(options.package or PACKAGES))
    if options.module:
        names = [name for name in names if name.startswith(tuple(options.module))]
    every = [m for name in names for m in mutants(name, source(name)) if m.kind in (options.kind or KINDS)]
    part, parts = map(int, options.share.split("/"))
    return sampled(every, options.sample, options.seed)[part - 1 :: parts]


def tried(todo: list[Mutant], results: Results, table: Proofs, options: argparse.Namespace) -> None:
    """Try mutants until all are done or the time is up, a line for each."""
    stop = time.monotonic() + 60 * options.minutes
    with tempfile.TemporaryDirectory() as folder, ThreadPoolExecutor(options.workers) as pool:
        free: SimpleQueue[Bench] = SimpleQueue()
        for i in range(options.workers):
            free.put(Bench.copied(Path(folder) / str(i), options.wider))

        def one(number: int, mutant: Mutant) -> None:
            if time.monotonic() > stop:
                return
            bench = free.get()
            try:
                outcome = bench.judged(mutant, proven=bool(proof(mutant, change(mutant, source(mutant.module)), table)))
            except RedError as error:
                print(f"{number:>4} of {len(todo)}  left     {error}", flush=True)  # noqa: T201
                return
            finally:
                free.put(bench)
            results.add(mutant, outcome)
            print(f"{number:>4} of {len(todo)}  {line(mutant, outcome)}", flush=True)  # noqa: T201

        try:
            for future in [pool.submit(one, i, mutant) for i, mutant in enumerate(todo, 1)]:
                future.result()
        except KeyboardInterrupt:  # what is in hand is finished and kept, the rest is not begun
            pool.shutdown(cancel_futures=True)


def line(mutant: Mutant, outcome: Outcome | None) -> str:
    """Return one mutant in one line."""
    word = "untried" if outcome is None else "killed" if outcome.killed else "SURVIVED"
    return f"{word:<9}{'' if outcome is None else outcome.by:<7}{mutant.kind:<11}{mutant.module}:{mutant.row}"


def main(words: list[str]) -> int:
    """Run what the command line asks for; returns the exit code."""
    options = arguments(words)
    sample, table = drawn(options), proofs()
    results = Results(options.results, source)
    if not options.list:
        again = options.rerun_survivors
        known = {key for key, outcome in results.outcomes.items() if outcome.killed or not again}
        tried([m for m in sample if m.key not in known], results, table, options)
    scored: list[Scored] = []
    for mutant in sample:
        changed, outcome = change(mutant, source(mutant.module)), results.outcomes.get(mutant.key)
        if outcome is not None:
            scored.append(Scored(mutant, changed, outcome, proof(mutant, changed, table)))
        if options.list:
            print(f"{line(mutant, outcome)}\n    - {changed.before}\n    + {changed.after}")  # noqa: T201
    print(summary(scored, len(sample) - len(scored)))  # noqa: T201
    holes, size = adjusted(scored)
    return int(holes > options.most * size)


if __name__ == "__main__":
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    sys.exit(main(sys.argv[1:]))
