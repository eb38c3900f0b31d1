"""A machine as it was read, up to what is said of running it on, without the slower parts of an answer."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.answer.dispatch import dispatch
from witnessmark.diagnosis.answer.extremes import extremes, heard
from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.answer.misfits import contradictions
from witnessmark.diagnosis.answer.safety import notices
from witnessmark.diagnosis.answer.verdict import verdict
from witnessmark.diagnosis.case import Case, Fluid, Machine, Report
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evidence.derive import derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.diagnosis.result import Contradiction, Operation, Priority, SafetyNotice
from witnessmark.vocabulary import Condenser

ANY = Machine()
PSI, BAR, ATMOSPHERE = 6894.757, 1e5, 101325.0


def psig(value: float) -> Measured:
    return Measured(value * PSI + ATMOSPHERE, 5e3)


def barg(value: float) -> Measured:
    return Measured(value * BAR + ATMOSPHERE, 5e3)


def fahrenheit(value: float) -> Measured:
    return Measured((value - 32) / 1.8 + 273.15, 0.6)


def celsius(value: float) -> Measured:
    return Measured(value + 273.15, 0.6)


@dataclass(frozen=True, slots=True)
class Told:
    """What is said of it."""

    inquiry: Inquiry
    contradictions: tuple[Contradiction, ...]
    safety: tuple[SafetyNotice, ...]
    operation: Operation
    priority: Priority
    state: str

    def probability(self, key: str) -> float:
        return self.inquiry.probability(key)


def case_of(
    refrigerant: str | None,
    readings: FieldReadings,
    machine: Machine = ANY,
    findings: tuple[str, ...] = (),
    *,
    condenser: Condenser | None = None,
    low_temperature: bool = False,
) -> Case:
    """As the service makes it of a request."""
    found = derive(refrigerant, readings, machine=machine, condenser=condenser, low_temperature=low_temperature)
    return Case(
        machine,
        tuple(Report(key, "present") for key in findings),
        found.readings,
        ran=found.running is True,
        stood=readings.running is False,
        values=found.values,
        refrigerant=refrigerant,
        doubts=found.doubts,
        fluid=Fluid.of(refrigerant) if refrigerant else None,
    )


def told(case: Case) -> Told:
    """What is said of such a case."""
    inquiry = inquire(knowledge(), case, brief=True)
    fired = notices(inquiry, heard(case, extremes({}, case)))
    clashes = contradictions(inquiry)
    ruling = verdict(inquiry, (), clashes, fits=True)
    advice = dispatch(inquiry, ruling, fired)
    return Told(inquiry, clashes, fired, advice.operation, advice.priority, ruling.state)
