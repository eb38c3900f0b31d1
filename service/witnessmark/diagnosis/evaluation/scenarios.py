"""What is simulated, how often, and in how many runs of different seeds: the one place that both front ends run.

`python -m witnessmark.diagnosis.evaluation` prints the tables; `python -m tests.evaluation` holds the gates against the
same samples and writes docs/EVALUATION.md.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass

from witnessmark.diagnosis.evaluation.simulation import Scenario

SEED = 20261125
"""The first seed; the others follow it."""
MINUTES = 45.0
"""What a technician gives to finding out, before the circuit is opened or left."""


@dataclass(frozen=True, slots=True)
class Experiment:
    """A scenario. part: it takes one in so many of the cases, where each takes long. fit: ask whether findings fit."""

    scenario: Scenario
    part: int = 1
    fit: bool = False


EXPERIMENTS = {
    "own knowledge, 5-9 findings": Experiment(Scenario(findings=(5, 9))),
    "own knowledge, 10-19 findings": Experiment(Scenario(findings=(10, 19))),
    "own knowledge, 14 findings": Experiment(Scenario(findings=(14, 14)), fit=True, part=2),
    "own knowledge, 25-39 findings": Experiment(Scenario(findings=(25, 39)), part=8),
    "5 % of the reports wrong": Experiment(Scenario(flips=0.05)),
    "job notes: what is normal goes unmentioned": Experiment(Scenario(findings=None, channel="note")),
    "field forms": Experiment(Scenario(findings=None, channel="form"), part=16),
    "teardown sheets": Experiment(Scenario(findings=None, channel="teardown"), part=8, fit=True),
    "every log-odds shifted, sd 1.0": Experiment(Scenario(sd=1.0), part=2),
    "a different model, 10-25 findings": Experiment(Scenario(findings=(10, 25), sd=1.0, alike=0.5), part=2, fit=True),
    "a different model, 25-39 findings": Experiment(Scenario(findings=(25, 39), sd=1.0, alike=0.5), part=8),
    "a different model, field forms": Experiment(Scenario(findings=None, channel="form", sd=1.0, alike=0.5), part=16),
    "an unmodelled mode turns 6 of 14 findings": Experiment(Scenario(findings=(14, 14), strange=6), fit=True, part=2),
}
"""A different model: every log-odds shifted, and findings of one disturbance alike beyond what the modes explain."""
DIFFERENT = tuple(name for name in EXPERIMENTS if name.startswith("a different model"))


@dataclass(frozen=True, slots=True)
class Sizes:
    """Sizes of one run, and how many runs. trials: of the next checks; checked: against the rules."""

    cases: int = 800
    trials: int = 150
    checked: int = 500
    seeds: int = 20

    @classmethod
    def parser(cls, module: str, description: str) -> argparse.ArgumentParser:
        """What both front ends take on the command line."""
        parser = argparse.ArgumentParser(
            prog=f"python -m {module}",
            description=description,
            epilog="The same sizes give the same figures, but for times. Small sizes (20 5 5 --seeds 2) show within a "
            "minute that everything runs; the gates are meant for the usual ones.",
        )
        words = {
            "cases": "simulated cases a scenario and run (slow scenarios take a part of them)",
            "trials": "simulated machines a run on which next checks are tried",
            "checked": "cases a run whose next checks are held against the safety rules",
        }
        for name, text in words.items():
            usual = cls.__dataclass_fields__[name].default
            parser.add_argument(name, nargs="?", type=int, default=usual, help=f"{text} (default {usual})")
        parser.add_argument("--seeds", type=int, default=20, help="runs of different seeds (default 20)")
        return parser

    @classmethod
    def of(cls, options: argparse.Namespace) -> Sizes:
        """The sizes that the command line asks for."""
        return cls(options.cases, options.trials, options.checked, options.seeds)

    @property
    def text(self) -> str:
        """As they stand on the command line."""
        return f"{self.cases} {self.trials} {self.checked} --seeds {self.seeds}"
