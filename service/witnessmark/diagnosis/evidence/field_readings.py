"""What a technician reads at one machine, SI, and what must be known of the machine to judge it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import Doubt
from witnessmark.vocabulary import Application, Compressor, Condenser, Construction, Drive, LinesReadAt, Phases

Three = tuple[Measured, Measured, Measured]


@dataclass(frozen=True, slots=True)
class FieldReadings:
    """Readings at one machine, SI, each may be missing. running: whether the pressures were read while it ran.

    Numbers that somebody worked out already (superheat, ratio …) stand beside what they can be derived from; they are
    then one piece of evidence. load: share of the full load. outdoor_temperature: what the condenser takes in.
    liquid_refrigerant: whether cold liquid may lie in the shell when insulation was measured; heater_on: s until then.
    windings_labelled: the winding resistances are common-start, common-run and start-run.
    """

    running: bool | None = None
    load: Measured | None = None
    suction_pressure: Measured | None = None
    suction_temperature: Measured | None = None
    suction_superheat: Measured | None = None
    discharge_pressure: Measured | None = None
    discharge_temperature: Measured | None = None
    discharge_superheat: Measured | None = None
    compression_ratio: Measured | None = None
    liquid_temperature: Measured | None = None
    subcooling: Measured | None = None
    sump_temperature: Measured | None = None
    net_oil_pressure: Measured | None = None
    outdoor_temperature: Measured | None = None
    condenser_leaving_temperature: Measured | None = None
    running_current: Measured | None = None
    expected_current: Measured | None = None
    rated_current: Measured | None = None
    supply_voltage: Measured | None = None
    line_voltages: Three | None = None
    rated_voltage: Measured | None = None
    terminal_voltage_at_start: Measured | None = None
    control_voltage: Measured | None = None
    rated_control_voltage: Measured | None = None
    line_currents: Three | None = None
    lines_read_at: LinesReadAt | None = None
    run_capacitor: Measured | None = None
    run_capacitor_marked: Measured | None = None
    start_capacitor: Measured | None = None
    start_capacitor_marked: Measured | None = None
    insulation_resistance: Measured | None = None
    winding_temperature: Measured | None = None
    insulation_by_phase: Three | None = None
    liquid_refrigerant: bool | None = None
    heater_on: Measured | None = None
    insulation_resistance_hot: Measured | None = None
    winding_temperature_hot: Measured | None = None
    winding_resistances: Three | None = None
    windings_labelled: bool | None = None
    oil_acid_number: Measured | None = None
    oil_water: Measured | None = None
    oil_colour: Measured | None = None
    oil_drained: Measured | None = None
    oil_due: Measured | None = None
    recovered_charge: Measured | None = None
    due_charge: Measured | None = None
    starts_per_hour: Measured | None = None
    restart_interval: Measured | None = None

    def values(self) -> Iterator[tuple[str, tuple[float, ...]]]:
        """What was read, SI, one or three values a field."""
        for f in fields(self):
            read = getattr(self, f.name)
            if isinstance(read, Measured):
                yield f.name, (read.value,)
            elif isinstance(read, tuple):
                yield f.name, tuple(one.value for one in read)

    def present(self) -> frozenset[str]:
        """Names of the readings that there are."""
        return frozenset(f.name for f in fields(self) if getattr(self, f.name) is not None)


@dataclass(frozen=True, slots=True)
class Facts:
    """What must be known of the machine to judge its readings; None is not known. low_temperature: frozen goods.

    chiller: it cools water. heat_pump: it heats at times. trips_at_once: somebody told that its breaker opens the
    moment power is applied. unserved: the name of a refrigerant that has no properties; `refrigerant` is None then.
    application: at which temperatures it works. cooling_only: it is of a kind that never heats.
    """

    refrigerant: str | None = None
    phases: Phases | None = None
    drive: Drive | None = None
    condenser: Condenser | None = None
    low_temperature: bool = False
    compressor: Compressor | None = None
    construction: Construction | None = None
    chiller: bool = False
    heat_pump: bool = False
    trips_at_once: bool = False
    unserved: str = ""
    application: Application | None = None
    cooling_only: bool = False


@dataclass(frozen=True, slots=True)
class SetAside:
    """Readings that were not taken as evidence, and why, in words that end without a stop."""

    readings: tuple[str, ...]
    why: str

    @property
    def text(self) -> str:
        """One line for the caller."""
        named = " and ".join(name.replace("_", " ") for name in self.readings)
        return f"Set aside: {named}: {self.why}."


@dataclass(frozen=True, slots=True)
class Clash:
    """Readings that cannot be right together, or that prove nothing as they were taken.

    dropped: those of them that are no evidence then. ask: what to measure again; empty where they are set aside
    and nothing more is made of it. idle: they show that the machine may not run at all. heard: see `case.Doubt`.
    """

    readings: tuple[str, ...]
    why: str
    ask: str = ""
    dropped: tuple[str, ...] = ()
    idle: bool = False
    heard: str = ""

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """As the case has it: none where nothing is asked."""
        return (Doubt(self.readings, self.why, self.ask, self.heard),) if self.ask else ()


Outcome = Measured | SetAside | None
"""What a rule makes of its readings: a number, a reason why there is none, or nothing to say."""


def known(reading: Measured | None) -> Measured:
    """A reading that the rule asked for."""
    assert reading is not None  # noqa: S101 - a rule is used only where its needs are met
    return reading


def three(readings: Three | None) -> Three:
    """As `known`, for three readings."""
    assert readings is not None  # noqa: S101 - a rule is used only where its needs are met
    return readings
