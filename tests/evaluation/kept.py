"""Runs that are done, kept in build/evaluation: a measurement that was stopped goes on where it was.

A run counts as long as what decides it is unchanged: the knowledge, and the modules that reason and simulate.
"""

from __future__ import annotations

import hashlib
import math
import time
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import numpy as np

from witnessmark import data
from witnessmark.diagnosis.evaluation.experiments import run
from witnessmark.diagnosis.evaluation.outcomes import Outcome, Sample, Trials
from witnessmark.diagnosis.evaluation.process_pool import Pool
from witnessmark.diagnosis.evaluation.scenarios import SEED, Sizes

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "build" / "evaluation"
REASONING = ROOT / "service" / "witnessmark" / "diagnosis"
PARTS = ("answer", "catalogue", "evidence", "inference")
SIMULATING = ("experiments", "outcomes", "rates", "scenarios", "simulation")
DECIDES = "diagnosis/"
"""Data that decide a diagnosis: what was measured is out of date when they change, not when a limit elsewhere does."""
NO_WORDS = (
    "diagnosis/evidence/",
    *(
        f"diagnosis/knowledge/{name}"
        for name in ("causes", "checks", "conflicts", "contexts", "decisions", "findings", "links-", "modes", "normals")
    ),
    *(f"diagnosis/knowledge/{name}" for name in ("readings", "safety")),
)
"""Those of them that decide what becomes of a simulated machine, of which nobody writes a note or sends a van to."""
_COUNTS = ("broken", "unheeding", "checked")


def digest() -> str:
    """Of all that decides what a run gives."""
    modules = sorted(path for part in PARTS for path in (REASONING / part).rglob("*.py"))
    modules += [REASONING / "evaluation" / f"{name}.py" for name in SIMULATING]
    texts = (hashlib.sha256(path.read_bytes()).hexdigest() for path in modules)
    return hashlib.sha256("\n".join([data.version(NO_WORDS), *texts]).encode()).hexdigest()[:12]


def runs(
    pool: Pool, sizes: Sizes, folder: Path = FOLDER, *, only_kept: bool = False, minutes: float = math.inf
) -> tuple[Sample, ...]:
    """A run a seed: read where it was kept, else worked out and kept.

    only_kept: leave out what is not there. minutes: by the clock, after which no further run is begun; the first is.
    """
    return tuple(_runs(pool, sizes, folder, 0.0 if only_kept else 60.0 * minutes, at_least=int(not only_kept)))


def _runs(pool: Pool, sizes: Sizes, folder: Path, seconds: float, at_least: int) -> Iterator[Sample]:
    folder.mkdir(parents=True, exist_ok=True)
    begun, done = time.monotonic(), 0
    of_all = f"{digest()}-{sizes.cases}-{sizes.trials}-{sizes.checked}"
    for seed in range(SEED, SEED + sizes.seeds):
        file = folder / f"{of_all}-{seed}.npz"
        if not file.exists() and (done < at_least or time.monotonic() - begun < seconds):
            keep(file, run(pool, sizes, seed))
        if file.exists():
            done += 1
            yield read(file)


def keep(file: Path, sample: Sample) -> None:
    """Write a run, whole or not at all."""
    arrays = {f"{name}|{f.name}": getattr(out, f.name) for name, out in sample.outcomes.items() for f in fields(out)}
    arrays |= {f.name: getattr(sample.trials, f.name) for f in fields(sample.trials)}
    arrays |= {name: np.array(getattr(sample, name)) for name in _COUNTS}
    part = file.with_suffix(".part.npz")
    np.savez_compressed(part, **arrays)
    part.rename(file)


def read(file: Path) -> Sample:
    """A run as it was kept."""
    with np.load(file) as kept:
        names = dict.fromkeys(key.partition("|")[0] for key in kept.files if "|" in key)
        outcomes = {name: Outcome(*(kept[f"{name}|{f.name}"] for f in fields(Outcome))) for name in names}
        trials = Trials(*(kept[f.name] for f in fields(Trials)))
        return Sample(outcomes, trials, *(int(kept[name]) for name in _COUNTS))
