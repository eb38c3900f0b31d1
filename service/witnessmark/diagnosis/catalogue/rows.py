"""The kinds of row that knowledge is made of. One fact a row; every row has a rationale and a source."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import chain, product
from typing import Annotated, Literal, Self

from pydantic import AliasGenerator, ConfigDict, Field, model_validator
from typing_extensions import TypeAliasType

from witnessmark.data import Row
from witnessmark.diagnosis.case import MACHINE_WORDS, AbnormalState, Channel, Condition, Machine
from witnessmark.diagnosis.catalogue.action_rows import Advice, ConflictPair, SafetyRule
from witnessmark.diagnosis.catalogue.row_base import ALL_MACHINES, Applies, CautionId, Probability, Reasoned
from witnessmark.diagnosis.result import CheckKind, Role, Step

FindingKind = TypeAliasType("FindingKind", Literal["yes-no", "three-way"])
"""Whether a finding is there or not, or is a reading that can be low or high."""
FindingStage = TypeAliasType("FindingStage", Literal["history", "field", "teardown", "laboratory"])
"""Where a finding is made: told, at the machine, at the opened compressor, in a laboratory."""
STATES: Mapping[FindingKind, tuple[str, ...]] = {
    "yes-no": ("present", "absent"),
    "three-way": ("low", "normal", "high"),
}
"""The states that can be reported of a finding of either kind."""
NO_FAULT = "no-compressor-fault"
"""Target of contexts that move P(no mode active); it is not a mode."""
RUNS = "compressor-runs"
"""The normal that says that it runs."""
_STUCK = "shaft-seized"
DANGER = "danger"
"""Group of findings that are acted on for the sake of people; they need not bear on any mode or cause."""


class Mention(Row):
    """P(finding is mentioned | present) and P(its absence is mentioned | absent) in one channel of reporting."""

    present: Annotated[float, Field(ge=0, lt=1)]
    absent: Annotated[float, Field(ge=0, lt=1)]


class CheckRow(Row):
    """How to find out about something. minutes; cost 0..5 relative; hazards: caution ids; needs: conditions.

    step: its place in the usual order, None where that follows from the rest. starts: the compressor is made to start,
    or to try. applies: the machines at which it is worth making at all. usual: how much sooner or later the trade looks
    for it on purpose than its step says; a symptom is told, seldom looked for. on_water: how where water cools the
    condenser, or is cooled. of_drier: it is made at the filter-drier of the liquid line, which not every machine has.
    """

    minutes: Annotated[float, Field(gt=0)]
    cost: Annotated[float, Field(ge=0, le=5)]
    how: str
    on_water: str = ""
    tools: tuple[str, ...] = ()
    hazards: tuple[CautionId, ...] = ()
    needs: tuple[Condition, ...] = ()
    energised: bool = False
    opens_circuit: bool = False
    step: Step | None = None
    kind: CheckKind = "finding"
    starts: bool = False
    applies: Applies = ALL_MACHINES
    of_drier: bool = False
    usual: Annotated[float, Field(gt=0)] = 1.0


class Finding(Reasoned):
    """Something that can be seen, measured or told. Three-way findings are readings that can be low or high.

    background: P(state) with nothing in the model active, as it is reported. measured: the same by state where numbers
    tell it, whose own rows hold what draws sound machines a little beyond the usual range. against_baseline: where the
    numbers are deviations from the same machine when sound, since what machines differ by is then no background.
    """

    id: str
    text: str
    kind: FindingKind
    group: str
    stage: FindingStage
    reliability: Annotated[float, Field(gt=0.5, lt=1)]
    mention: dict[Channel, Mention]
    background: float = 0.0
    background_low: float = 0.0
    background_high: float = 0.0
    measured: Mapping[str, Probability] = Field(default_factory=dict)
    against_baseline: Mapping[str, Probability] = Field(default_factory=dict)
    low_text: str = ""
    high_text: str = ""
    trace: str = ""
    opposite: str = ""
    check: CheckRow | None = None
    applies: Applies = ALL_MACHINES

    @model_validator(mode="after")
    def _has_what_its_kind_needs(self) -> Self:
        levels = self.backgrounds.values()
        if not all(0 < level < 1 for level in levels) or sum(levels) >= 1:
            raise ValueError(f"{self.id}: background is not between 0 and 1")
        for name, finer in (("measured", self.measured), ("against_baseline", self.against_baseline)):
            if finer and not self._less_than_usual(finer):
                raise ValueError(f"{self.id}: {name} needs each abnormal state, none above its background")
        if self.kind == "three-way" and not (self.low_text and self.high_text):
            raise ValueError(f"{self.id}: a three-way finding needs low_text and high_text")
        return self

    def _less_than_usual(self, finer: Mapping[str, float]) -> bool:
        usual = self.backgrounds
        return finer.keys() == usual.keys() and all(0 < finer[state] <= usual[state] for state in finer)

    @property
    def states(self) -> tuple[str, ...]:
        """The states that can be reported of it."""
        return STATES[self.kind]

    @property
    def signs(self) -> tuple[AbnormalState, ...]:
        """Its abnormal states."""
        return ("present",) if self.kind == "yes-no" else ("low", "high")

    @property
    def healthy(self) -> Literal["absent", "normal"]:
        """Its state on a sound machine."""
        return "absent" if self.kind == "yes-no" else "normal"

    @property
    def backgrounds(self) -> Mapping[str, float]:
        """P(state) with nothing in the model active, by abnormal state."""
        if self.kind == "yes-no":
            return {"present": self.background}
        return {"low": self.background_low, "high": self.background_high}

    def wording(self, state: str) -> str:
        """The finding in this state, in a technician's words."""
        chosen = {"low": self.low_text, "high": self.high_text, "absent": self.opposite, "normal": self.opposite}
        if state == "present":
            return self.text
        return chosen.get(state) or f"{self.text}: {state}"


class Normal(Reasoned):
    """A good condition; reporting it says that each of `means_absent` is absent (or normal)."""

    id: str
    text: str
    means_absent: tuple[str, ...]


class Mode(Reasoned):
    """A way in which a compressor fails. prior: P(active) with no listed cause and no other mode."""

    id: str
    name: str
    text: str
    prior: Probability
    role: Role
    teardown: str = ""
    field: str = ""
    discriminators: str = ""
    actions: str = ""
    prevention: str = ""
    applies: Applies = ALL_MACHINES


class Cause(Reasoned):
    """A cause in the system, outside the compressor. prior: P(present) at a machine that is being diagnosed.

    brings_call: whether somebody would call for it though the compressor is sound.
    """

    id: str
    name: str
    prior: Probability
    confirm: str
    correct: str
    brings_call: bool = False
    applies: Applies = ALL_MACHINES


class Link(Reasoned):
    """One arrow. Into a finding: P(state | only this origin), background included; into a mode: P(caused | origin).

    defines: the finding in this state is its origin seen, measured or weighed, so that hardly anything else raises it.
    """

    origin: str
    target: str
    probability: Probability
    state: AbnormalState = "present"
    defines: bool = False
    applies: Applies = ALL_MACHINES


def _ends(origin: str, target: str) -> ConfigDict:
    """The names that the two ends of an arrow have in their file."""
    names = {"origin": origin, "target": target}
    return ConfigDict(alias_generator=AliasGenerator(validation_alias=lambda name: names.get(name, name)))


class ModeFinding(Link):
    """What a mode shows."""

    model_config = _ends("mode", "finding")


class CauseFinding(Link):
    """What a cause shows."""

    model_config = _ends("cause", "finding")


class CauseMode(Link):
    """What a cause brings about."""

    model_config = _ends("cause", "mode")


class ModeMode(Link):
    """What a mode brings about."""

    model_config = _ends("from", "to")


class Context(Reasoned):
    """A circumstance that multiplies the prior odds of a cause or mode (or of no fault at all).

    same_as: a finding that says the same of the target; where it is reported it counts, and this row does not.
    """

    field: str
    value: str
    target: str
    odds_ratio: Annotated[float, Field(gt=0)]
    same_as: str = ""


@dataclass(frozen=True, eq=False)
class Knowledge:
    """All of it, by id, in the order of the files."""

    findings: Mapping[str, Finding]
    normals: Mapping[str, Normal]
    modes: Mapping[str, Mode]
    causes: Mapping[str, Cause]
    mode_finding: tuple[Link, ...]
    cause_finding: tuple[Link, ...]
    cause_mode: tuple[Link, ...]
    mode_mode: tuple[Link, ...]
    contexts: tuple[Context, ...]
    safety: tuple[SafetyRule, ...]
    conflicts: tuple[ConflictPair, ...]
    advice: Mapping[str, Advice]

    def name(self, key: str) -> str:
        """Name of a mode or cause, text of a finding or normal."""
        if key in self.findings:
            return self.findings[key].text
        if key in self.normals:
            return self.normals[key].text
        return self.modes[key].name if key in self.modes else self.causes[key].name

    def inside(self, key: str) -> bool:
        """Whether a finding is seen at an opened compressor only; that a shaft is stuck is found without."""
        finding = self.findings.get(key)
        if finding is None or finding.stage != "teardown" or key == _STUCK:
            return False
        return finding.check is None or "compressor-removed" in finding.check.needs

    @property
    def links(self) -> tuple[Link, ...]:
        """Every arrow."""
        return (*self.cause_mode, *self.mode_mode, *self.cause_finding, *self.mode_finding)

    @cached_property
    def parts(self) -> frozenset[str]:
        """Parts of a machine that some row or context tells apart."""
        rows: Iterable[Finding | Mode | Cause | Link | SafetyRule] = chain(
            self.findings.values(), self.modes.values(), self.causes.values(), self.links, self.safety
        )
        named = {part for row in rows for part, _ in row.applies.parts} | {c.field for c in self.contexts}
        return frozenset(named.intersection(MACHINE_WORDS))

    def known(self, machine: Machine) -> Machine:
        """The machine without what no row tells apart: it changes nothing."""
        return Machine(**{part: getattr(machine, part) for part in MACHINE_WORDS if part in self.parts})

    def completions(self, machine: Machine) -> tuple[Machine, ...]:
        """Every machine that this one can be, in the parts that some row tells apart; itself where nothing is open."""
        return _completions(self.parts, machine)


@lru_cache(maxsize=256)
def _completions(told_apart: frozenset[str], machine: Machine) -> tuple[Machine, ...]:
    """Asked for at every check of a request."""
    parts = [part for part in MACHINE_WORDS if part in told_apart]
    known = [(part, getattr(machine, part)) for part in parts]
    choices = [MACHINE_WORDS[part] if word is None else (word,) for part, word in known]
    return tuple(Machine(**dict(zip(parts, words, strict=True))) for words in product(*choices))
