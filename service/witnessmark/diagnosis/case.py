"""What the caller knows about one compressor: the input of `diagnose`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

CompressorType = Literal["scroll", "reciprocating", "rotary", "screw"]
ShellSide = Literal["low-side", "high-side"]
Drive = Literal["fixed-speed", "inverter"]
State = Literal["present", "absent", "low", "normal", "high", "unknown"]
Channel = Literal["note", "form", "teardown"]
Condition = Literal["power-off", "compressor-runs", "circuit-open", "compressor-removed"]


@dataclass(frozen=True, slots=True)
class Machine:
    """What is being judged. None means not known: only what holds for every possibility is then relied on."""

    compressor: CompressorType | None = None
    shell: ShellSide | None = None
    drive: Drive | None = None


@dataclass(frozen=True, slots=True)
class Report:
    """One finding as somebody reported it.

    finding: id of the catalogue of findings, or of a normal (`oil-clear`), which stands for the absence of several.
    state: present/absent for a yes-no finding, low/normal/high for a three-way one. `unknown` means nobody looked:
        it counts for nothing, and it is not the same as absent.
    reliability: P(this report is right), above 0.5 and below 1; None takes the figure of the knowledge.
    """

    finding: str
    state: State
    reliability: float | None = None


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
class Wishes:
    """Which of the slower parts to work out, and how many hypotheses to explain."""

    explanation: bool = True
    next_checks: bool = True
    sensitivity: bool = False
    shortlist: int = 5


@dataclass(frozen=True, slots=True)
class Case:
    """One compressor, with everything said about it.

    contexts: (field, value) pairs of the catalogue of contexts, e.g. ("queue", "warranty"), ("equipment", "heat-pump").
        Shell and drive are added from the machine.
    channels: how the findings were reported. Naming one lets silence speak: a finding of that channel which is not
        mentioned, though it would have been noticed, counts softly against itself. Empty: silence says nothing.
    conditions: what holds at the machine or can be brought about by the person there; only checks whose needs are among
        them are proposed. `compressor-runs` is evidence too: a compressor that runs is not seized. None: not said; then
        it is taken from the reports whether the compressor stands opened.
    ran: the readings were taken while it ran. Evidence like `compressor-runs`, unless it has been opened since; where a
        report says the contrary the report counts, since it may be later.
    """

    machine: Machine = field(default_factory=Machine)
    reports: tuple[Report, ...] = ()
    readings: tuple[Reading, ...] = ()
    contexts: tuple[tuple[str, str], ...] = ()
    channels: tuple[Channel, ...] = ()
    conditions: tuple[Condition, ...] | None = None
    ran: bool = False
    wishes: Wishes = field(default_factory=Wishes)
