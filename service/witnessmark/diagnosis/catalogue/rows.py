"""The kinds of row that knowledge is made of. One fact a row; every row has a rationale and a source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.result import Role

Kind = Literal["yes-no", "three-way"]
FindingState = Literal["present", "low", "high"]
NO_FAULT = "no-compressor-fault"
"""Target of contexts that move P(no mode active); it is not a mode."""
MACHINE_WORDS: Mapping[str, tuple[str, ...]] = {
    "compressor": ("scroll", "reciprocating", "rotary", "screw"),
    "shell": ("low-side", "high-side"),
    "drive": ("fixed-speed", "inverter"),
}


class KnowledgeError(ValueError):
    """Knowledge files that cannot be used; `faults` lists everything that is wrong, one sentence each."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("; ".join(faults))
        self.faults = faults


@dataclass(frozen=True, slots=True)
class Applies:
    """Which machines a row is about; an empty set means all of them."""

    compressor: frozenset[str] = frozenset()
    shell: frozenset[str] = frozenset()
    drive: frozenset[str] = frozenset()

    def to(self, machine: Machine) -> bool:
        """Whether the row holds for this fully known machine (an unknown part counts as not excluded)."""
        return all(
            not wanted or given is None or given in wanted
            for wanted, given in (
                (self.compressor, machine.compressor),
                (self.shell, machine.shell),
                (self.drive, machine.drive),
            )
        )


ALL_MACHINES = Applies()


@dataclass(frozen=True, slots=True)
class Mention:
    """P(finding is mentioned | present) and P(its absence is mentioned | absent) in one channel of reporting."""

    present: float
    absent: float


@dataclass(frozen=True, slots=True)
class CheckRow:
    """How to find out about a finding. minutes; cost 0..5 relative; hazards: caution ids; needs: conditions."""

    minutes: float
    cost: float
    how: str
    tools: tuple[str, ...] = ()
    hazards: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    energised: bool = False
    opens_circuit: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that can be seen, measured or told. Three-way findings are readings that can be low or high."""

    id: str
    text: str
    kind: Kind
    group: str
    stage: str
    reliability: float
    mention: Mapping[str, Mention]
    rationale: str
    source: str
    reviewed: str
    background: float = 0.0
    background_low: float = 0.0
    background_high: float = 0.0
    low_text: str = ""
    high_text: str = ""
    trace: str = ""
    opposite: str = ""
    check: CheckRow | None = None
    applies: Applies = ALL_MACHINES

    def wording(self, state: str) -> str:
        """The finding in this state, in a technician's words."""
        chosen = {"low": self.low_text, "high": self.high_text, "absent": self.opposite, "normal": self.opposite}
        if state == "present":
            return self.text
        return chosen.get(state) or f"{self.text}: {state}"


@dataclass(frozen=True, slots=True)
class Normal:
    """A good condition; reporting it says that each of `means_absent` is absent (or normal)."""

    id: str
    text: str
    means_absent: tuple[str, ...]
    rationale: str
    source: str
    reviewed: str


@dataclass(frozen=True, slots=True)
class Mode:
    """A way in which a compressor fails. prior: P(active) with no listed cause and no other mode."""

    id: str
    name: str
    text: str
    prior: float
    kind: Role
    rationale: str
    source: str
    reviewed: str
    teardown: str = ""
    field: str = ""
    discriminators: str = ""
    actions: str = ""
    prevention: str = ""
    applies: Applies = ALL_MACHINES


@dataclass(frozen=True, slots=True)
class Cause:
    """A cause in the system, outside the compressor. prior: P(present) at a machine that is being diagnosed."""

    id: str
    name: str
    prior: float
    confirm: str
    correct: str
    rationale: str
    source: str
    reviewed: str
    applies: Applies = ALL_MACHINES


@dataclass(frozen=True, slots=True)
class Link:
    """One arrow. Into a finding: P(state | only this origin), background included; into a mode: P(caused | origin)."""

    origin: str
    target: str
    probability: float
    rationale: str
    source: str
    reviewed: str
    state: FindingState = "present"
    applies: Applies = ALL_MACHINES


@dataclass(frozen=True, slots=True)
class Context:
    """A circumstance that multiplies the prior odds of a cause or mode (or of no fault at all).

    same_as: a finding that says the same of the target; where it is reported it counts, and this row does not.
    """

    field: str
    value: str
    target: str
    odds_ratio: float
    rationale: str
    source: str
    reviewed: str
    same_as: str = ""


@dataclass(frozen=True, slots=True)
class ModeAtLeast:
    """A condition of a safety rule: the probability of a mode reaches a level."""

    mode: str
    at_least: float


@dataclass(frozen=True, slots=True)
class SafetyRule:
    """Fires when any of `any_of`, or all of `all_of`, are reported, or the mode is credible. Never out-voted."""

    id: str
    text: str
    cautions: tuple[str, ...]
    forbids: tuple[str, ...]
    source: str
    reviewed: str
    any_of: tuple[str, ...] = ()
    all_of: tuple[str, ...] = ()
    mode: ModeAtLeast | None = None
    applies: Applies = ALL_MACHINES


@dataclass(frozen=True, slots=True)
class ConflictPair:
    """Two findings that cannot both be so, and what to measure again."""

    a: str
    a_state: str
    b: str
    b_state: str
    why: str
    ask: str
    source: str
    reviewed: str


@dataclass(frozen=True, slots=True)
class Advice:
    """What to send and do for one mode or cause. priority: 1 (at once) to 4 (planned)."""

    target: str
    priority: int
    crew: str
    tools: tuple[str, ...]
    parts_class: str
    do_now: tuple[str, ...]
    keep_as_evidence: tuple[str, ...]
    source: str
    reviewed: str


@dataclass(frozen=True, slots=True, eq=False)
class Knowledge:
    """All of it, by id, in the order of the files. version: first ten hexadecimal digits of the files' SHA-256."""

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
    version: str

    def name(self, key: str) -> str:
        """Name of a mode or cause, text of a finding or normal."""
        if key in self.findings:
            return self.findings[key].text
        if key in self.normals:
            return self.normals[key].text
        return self.modes[key].name if key in self.modes else self.causes[key].name
