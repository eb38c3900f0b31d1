"""The one way from readings to derived numbers, with the machine's own baseline where there is one."""

from __future__ import annotations

from dataclasses import dataclass

from witnessmark.diagnosis.case import Doubt, Machine, Reading
from witnessmark.diagnosis.evidence.baseline import Baseline, against
from witnessmark.diagnosis.evidence.derivation import numbers
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings, SetAside
from witnessmark.refrigerants.unserved import with_properties
from witnessmark.vocabulary import Application, Condenser


@dataclass(frozen=True, slots=True)
class Derived:
    """The derived numbers, the fields that each came from, what was assumed, in words, and what was set aside.

    doubts: readings that cannot be right together. running: whether it ran, None where that is in doubt too. values:
    all that was read, SI, by field, whatever became of it.
    """

    readings: tuple[Reading, ...]
    derived_from: tuple[tuple[str, ...], ...]
    remarks: tuple[str, ...]
    set_aside: tuple[SetAside, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    running: bool | None = None
    values: tuple[tuple[str, tuple[float, ...]], ...] = ()


def derive(  # noqa: PLR0913 - each is a fact of the machine
    designation: str | None,
    readings: FieldReadings,
    *,
    low_temperature: bool = False,
    machine: Machine | None = None,
    condenser: Condenser | None = None,
    baseline: Baseline | None = None,
    chiller: bool = False,
    heat_pump: bool = False,
    trips_at_once: bool = False,
    application: Application | None = None,
    cooling_only: bool = False,
) -> Derived:
    """Every number that the readings allow; what cannot be worked out is set aside, nothing is refused.

    designation: refrigerant, None where it is not known; one without properties (`Bare`) gives no
    saturation. low_temperature: take the ratio limits of such machines.
    machine: its phases and drive decide how motor and supply are judged. baseline: readings of it when it was sound.
    chiller: it cools water. heat_pump: it heats at times. trips_at_once: its breaker was seen to open the moment power
    is applied. application: at which temperatures it works. cooling_only: it is of a kind that never heats.
    """
    known = machine or Machine()
    properties = with_properties(designation)
    facts = Facts(
        properties,
        known.phases,
        known.drive,
        condenser,
        low_temperature,
        known.compressor,
        known.construction,
        chiller,
        heat_pump,
        trips_at_once,
        unserved="" if designation is None or properties else designation,
        application=application,
        cooling_only=cooling_only,
    )
    found = numbers(facts, readings)
    if baseline is not None:
        against(facts, baseline, found)
    return Derived(
        tuple(number.reading for number in found.numbers),
        tuple(number.fields for number in found.numbers),
        tuple(dict.fromkeys((*found.remarks, *(aside.text for aside in found.set_aside)))),
        tuple(dict.fromkeys(found.set_aside)),
        tuple(found.doubts),
        found.readings.running,
        tuple(readings.values()),
    )
