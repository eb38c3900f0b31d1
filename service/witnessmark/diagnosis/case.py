"""What the caller knows about one compressor: the input of `diagnose`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, Self

from typing_extensions import TypeAliasType

from witnessmark.errors import InputError, UnknownNameError
from witnessmark.refrigerants import catalogue
from witnessmark.vocabulary import Application, Compressor, Condenser, Construction, Drive, Phases, ShellSide, words

AbnormalState = TypeAliasType("AbnormalState", Literal["present", "low", "high"])
"""The abnormal states of a finding."""
ReportState = TypeAliasType("ReportState", Literal["present", "absent", "low", "normal", "high", "unknown"])
"""What somebody says of a finding: present or absent of a yes-no one, low, normal or high of a three-way one."""
Channel = TypeAliasType("Channel", Literal["note", "form", "teardown"])
"""How findings are reported: free job note, field form with explicit yes and no, sheet beside the opened machine."""
Condition = TypeAliasType("Condition", Literal["power-off", "compressor-runs", "circuit-open", "compressor-removed"])
"""What holds at the machine."""
Urgency = TypeAliasType("Urgency", Literal["medical", "food-at-risk", "process-at-risk", "occupied", "comfort", "none"])
"""What the caller says depends on the machine: people's care, goods, a process or equipment that needs the cooling (a
server room, a production line), people in the building, comfort, nothing now."""
CompressorFate = TypeAliasType("CompressorFate", Literal["known-failed", "replaced-anyway"])
"""What is settled about the compressor beforehand: that it has failed, or that it is replaced whatever is found."""
CHILLER = ("equipment", "chiller")
"""The circumstance of a machine that cools water or brine."""
MOST_EXPLAINED = 10
"""Hypotheses of each layer that can be explained in one answer."""
MACHINE_WORDS: Mapping[str, tuple[str, ...]] = {
    "compressor": tuple(word for word in words(Compressor) if word != "centrifugal"),
    "shell": words(ShellSide),
    "drive": tuple(word for word in words(Drive) if word != "soft-starter"),
    "construction": words(Construction),
    "phases": words(Phases),
}
"""Parts of a machine that knowledge can tell apart, with their words: positive displacement, drives as they run."""


@dataclass(frozen=True, slots=True)
class Machine:
    """What is being judged. None means not known: only what holds for every possibility is then relied on."""

    compressor: Compressor | None = None
    shell: ShellSide | None = None
    drive: Drive | None = None
    construction: Construction | None = None
    phases: Phases | None = None

    def judged(self, field: str = "machine") -> Machine:
        """The machine in the words of the knowledge: a soft starter runs at fixed speed once it has started.

        Raises InputError (`<field>.compressor`) for a centrifugal machine, UnknownNameError for a word of no list.
        """
        if self.compressor == "centrifugal":
            raise InputError(
                ".".join(filter(None, (field, "compressor"))),
                "the knowledge covers positive-displacement machines only, and a centrifugal one is none",
                ", ".join(MACHINE_WORDS["compressor"]),
            )
        machine = replace(self, drive="fixed-speed") if self.drive == "soft-starter" else self
        for part, known in MACHINE_WORDS.items():
            if getattr(machine, part) not in (None, *known):
                raise UnknownNameError(".".join(filter(None, (field, part))), "value", known)
        return machine


@dataclass(frozen=True, slots=True)
class Fluid:
    """What is dangerous about the refrigerant, by its safety class: whether it can burn, whether it is toxic.

    slow: it burns only slowly (class 2L).
    """

    flammable: bool
    toxic: bool
    slow: bool = False

    @classmethod
    def of(cls, designation: str) -> Self:
        """Of a refrigerant of the catalogue, by the number and the letter of its class (ASHRAE 34)."""
        safety_class = catalogue.get(designation).safety_class
        burns, toxic = not safety_class.endswith("1"), safety_class.startswith("B")
        return cls(flammable=burns, toxic=toxic, slow=safety_class.endswith("2L"))


@dataclass(frozen=True, slots=True)
class Report:
    """One finding as somebody reported it, or as it follows from a good condition that was reported.

    finding: id of the catalogue of findings, or of a normal (`oil-clear`), which stands for the absence of several.
    state: present/absent for a yes-no finding, low/normal/high for a three-way one. `unknown` means nobody looked:
        it counts for nothing, and it is not the same as absent.
    reliability: P(this report is right), above 0.5 and below 1; None takes the figure of the knowledge.
    field, implied_by: filled in by the reasoning: where the report stands in the case, and the normal it follows from.
    """

    finding: str
    state: ReportState
    reliability: float | None = None
    field: str = ""
    implied_by: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """A derived number in SI, e.g. a suction superheat in K, with the standard uncertainty it came out with.

    quantity: id of the catalogue of readings (`readings.catalogue()`).
    derivation: how it was obtained, in words ("suction line 18.3 °C less dew 5.1 °C at 9.2 bar"), quoted in the answer.
    shared_with: readings with the same non-empty word hang on the same measurement and count as one piece of evidence.
    """

    quantity: str
    value: float
    uncertainty: float = 0.0
    derivation: str = ""
    shared_with: str = ""


@dataclass(frozen=True, slots=True)
class Doubt:
    """Readings that cannot be right together, why, and what to measure again; all in words.

    heard: a finding that they may show and do not prove: its rules fire, and it counts for nothing.
    """

    readings: tuple[str, ...]
    why: str
    ask: str
    heard: str = ""


@dataclass(frozen=True, slots=True)
class Want:
    """Which of the slower parts to work out, and how many hypotheses of each layer to explain (1..MOST_EXPLAINED)."""

    explanation: bool = True
    next_checks: bool = True
    sensitivity: bool = False
    shortlist: int = 5


RANKING_ONLY = Want(explanation=False, next_checks=False)
"""Nothing but the ranking and the verdict."""


@dataclass(frozen=True, slots=True)
class Case:
    """One compressor, with everything said about it.

    findings: what was reported. readings: derived numbers.
    circumstances: (field, value) pairs of the catalogue of contexts, e.g. ("queue", "warranty"), ("equipment",
        "heat-pump"). Shell and drive are added from the machine.
    reported_by: how the findings were reported. Naming a channel lets silence speak: a finding of that channel which is
        not mentioned, though it would have been noticed, counts softly against itself. Empty: silence says nothing.
    conditions: what holds at the machine or can be brought about by the person there; only checks whose needs are among
        them are proposed. `compressor-runs` is evidence too: a compressor that runs is not seized. Empty: nobody is at
        the machine, a call on the phone; only what is asked or seen is proposed then. None: not said; then it is taken
        from the reports whether the compressor stands opened and whether it runs.
    compressor_fate: `known-failed`: that no mode is there is ruled out, and it is asked which. `replaced-anyway` is no
        evidence; the dispatch says that the compressor is ordered.
    first: the finding that was there first, as told ("the bearing went first"). Modes that show it began the failure.
    read: fields of the readings that were taken, whatever they came to: they are not asked for again.
    ran: the readings were taken while it ran. Evidence like `compressor-runs`, unless it has been opened since; where a
        report says the contrary the report counts, since it may be later.
    stood: the readings were taken while it stood. values: what was read, SI, by field; refrigerant: what is in it.
    doubts: readings that cannot be right together; nothing runs on on them.
    fluid: what is dangerous about the refrigerant, None where it is not known. urgency: what depends on the machine,
        None where nobody said. keeps_goods: it is a cooler or a freezer, whose goods are lost once it does not cool.
        told_to_run: somebody said that the machine runs, which may mean its fans only; no evidence of the compressor.
        condenser: what cools it, application: at which temperatures it works, liquid_drier: whether a filter-drier is
        in its liquid line, None where nobody said. All of these decide what to do, never what is likely.
    """

    machine: Machine = field(default_factory=Machine)
    findings: tuple[Report, ...] = ()
    readings: tuple[Reading, ...] = ()
    circumstances: tuple[tuple[str, str], ...] = ()
    reported_by: tuple[Channel, ...] = ()
    conditions: tuple[Condition, ...] | None = None
    compressor_fate: CompressorFate | None = None
    first: str | None = None
    read: tuple[str, ...] = ()
    ran: bool = False
    stood: bool = False
    values: tuple[tuple[str, tuple[float, ...]], ...] = ()
    refrigerant: str | None = None
    doubts: tuple[Doubt, ...] = ()
    fluid: Fluid | None = None
    urgency: Urgency | None = None
    keeps_goods: bool = False
    told_to_run: bool = False
    condenser: Condenser | None = None
    application: Application | None = None
    liquid_drier: bool | None = None
    want: Want = field(default_factory=Want)
