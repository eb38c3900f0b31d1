"""The steps of the job in words, chosen by grade and by the facts of the case. Data: `steps.toml`."""

from __future__ import annotations

from functools import lru_cache
from typing import Annotated, Literal

from pydantic import AfterValidator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.tightness.vacuum_levels import VacuumSituation, in_words
from witnessmark.cleanup.job import CleanupJob
from witnessmark.cleanup.rows import KEYED, Grades, Identified, Sourced
from witnessmark.reference import cautions
from witnessmark.refrigerants import catalogue
from witnessmark.vocabulary import BurnoutGrade, Oil

StepTime = TypeAliasType("StepTime", Literal["before", "start", "running", "clean"])
"""In which part of the job a step falls: before the start, at it, while running, once the circuit is clean."""
Fact = Literal[
    "reversible",
    "lockable",
    "not-lockable",
    "several",
    "fragments",
    "solids",
    "flammable",
    "toxic",
    "burnt",
    "no-port",
    "wet",
    "ammonia",
    "carbon-dioxide",
    "no-core",
    "chiller",
    "no-drier",
    "permanent",
]


def _known(key: str) -> str:
    if key not in cautions():
        raise ValueError(f"no such caution: {key}")
    return key


class Step(Identified):
    """One step; taken where its grade is listed, all of `needs` hold and none of `unless`. Numbers count from 1."""

    number: int = 0
    grades: Grades
    needs: frozenset[Fact] = frozenset()
    unless: frozenset[Fact] = frozenset()
    when: StepTime = "before"
    text: str
    cautions: tuple[Annotated[str, AfterValidator(_known)], ...]


class CleanWhen(Sourced):
    """What must all hold for the circuit to be clean.

    Without an oil port the colour cannot be seen, without a suction core nothing is said of cores; of ammonia the maker
    of the plant has the limits.
    """

    text: tuple[str, ...]
    without_port: tuple[str, ...]
    without_core: tuple[str, ...]
    without_core_or_port: tuple[str, ...]
    without_filters: tuple[str, ...]
    without_filters_or_port: tuple[str, ...]
    ammonia: tuple[str, ...]
    chiller: tuple[str, ...]

    def of(self, facts: frozenset[Fact]) -> tuple[str, ...]:
        """The list for these facts."""
        if "ammonia" in facts:
            return self.ammonia
        if "chiller" in facts:
            return self.chiller
        if {"no-core", "no-drier"} <= facts:
            return self.without_filters_or_port if "no-port" in facts else self.without_filters
        if "no-core" in facts:
            return self.without_core_or_port if "no-port" in facts else self.without_core
        return self.without_port if "no-port" in facts else self.text


class Steps(data.Row):
    """The file."""

    step: Annotated[dict[str, Step], KEYED]
    clean: CleanWhen


STEPS = data.table(__package__, "steps.toml", Steps)


def facts_of(job: CleanupJob, grade: BurnoutGrade, *, can_lock: bool, wet: bool = False) -> frozenset[Fact]:
    """What decides about steps: reversible, lockable, solids, several and so on; UnknownNameError (refrigerant).

    wet: the oil holds more water than it may. A motor that nobody has looked at counts as burnt where the oil is as
    after a burn.
    """
    fluid, signs = catalogue.get(job.refrigerant), job.signs
    safety = fluid.safety_class
    reversible, ammonia = job.plant != "cooling-only", fluid.designation == "R-717"
    facts: dict[Fact, bool] = {
        "reversible": reversible,
        "lockable": reversible and can_lock,
        "not-lockable": reversible and not can_lock,
        "several": job.compressors > 1,
        "fragments": signs.solids == "fragments",
        "solids": signs.solids in {"fines", "fragments"},
        "burnt": signs.burnt or (signs.burn is None and grade > 1),
        "no-port": job.draws_oil is False,
        "wet": wet,
        "flammable": not safety.endswith("1"),
        "toxic": safety.startswith("B"),
        "ammonia": ammonia,
        "chiller": job.chiller and not ammonia,
        "no-core": ammonia or job.chiller or (grade == 0 and signs.solids not in {"fines", "fragments"}),
        "no-drier": job.drierless and not ammonia,
        "permanent": job.installation == "permanent",
        "carbon-dioxide": fluid.designation == "R-744",
    }
    return frozenset(fact for fact, holds in facts.items() if holds)


@lru_cache(maxsize=256)
def steps(
    grade: BurnoutGrade, facts: frozenset[Fact], oil: Oil | None = None, refrigerant: str | None = None
) -> tuple[Step, ...]:
    """The steps for this grade and these facts, numbered from 1, with the vacuum that the decay test asks.

    >>> [step.id for step in steps(0, frozenset())][:3]
    ['make-safe', 'recover', 'oil-sample']
    """
    chosen = [
        row for row in STEPS().step.values() if grade in row.grades and row.needs <= facts and not row.unless & facts
    ]
    situation: VacuumSituation = "wet" if "wet" in facts else "after-burn" if "burnt" in facts else "ordinary"
    vacuum = in_words(oil, situation, refrigerant)
    return tuple(
        row.model_copy(update={"number": number, "text": row.text.replace("{vacuum}", vacuum)})
        for number, row in enumerate(chosen, start=1)
    )
