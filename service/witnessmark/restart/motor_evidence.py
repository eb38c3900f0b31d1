"""What is known of the motor beside its tests' own verdicts: test voltage, nameplates, start winding, metal and gas.

Voltages in V, temperatures in K.
"""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark import data
from witnessmark.calculations.electrical.insulation import InsulationVerdict
from witnessmark.calculations.electrical.motors import motor_of
from witnessmark.calculations.electrical.windings import WindingsResult
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.reference import SourceId
from witnessmark.restart.context import Machine
from witnessmark.restart.evidence import INSULATION, Evidence


class StartWinding(data.Row):
    """Start over run winding below which shorted turns are not told from a motor with a run capacitor."""

    least: float
    source: SourceId


class Plates(data.Row):
    """Ratio of two rated voltages of one motor from which one of them is a slip."""

    ratio: float
    source: SourceId


class Warmth(data.Row):
    """Difference, K, between a winding by its resistance and by the thermometer from which one of them is a slip."""

    apart: float
    source: SourceId


class Ammonia(data.Row):
    """The refrigerants that eat copper."""

    eats_copper: frozenset[str]
    source: SourceId


class MotorTable(data.Row):
    """The data file."""

    start_winding: StartWinding
    plates: Plates
    warmth: Warmth
    ammonia: Ammonia


TABLE = data.table(__package__, "motor_evidence.toml", MotorTable)


def of_test_voltage(result: InsulationVerdict, applied: float | None) -> Iterator[Evidence]:
    """What a good reading owes to the voltage of its tester.

    An ohmmeter shows over its range what breaks down at the mains: where no test voltage is told, nothing is proved.
    Above what is recommended, the winding has to be looked after.
    """
    if INSULATION[result.verdict] != "passed":
        return
    if applied is None:
        detail = "not stated: the test voltage, without which it may be the reading of an ohmmeter"
        yield Evidence("insulation test", "missing", detail)
    elif result.test_voltage is not None and result.test_voltage.standing == "too high":
        strained = f"tested at {applied:.0f} V, above the {result.test_voltage.high:.0f} V that are recommended"
        yield Evidence("insulation test", "passed", result.verdict, f"{strained}: test again in service")


def of_plates(motor: float | None, supply: float | None) -> Iterator[Evidence]:
    """A contradiction between the rated voltages of the insulation test and of the supply, V; None where not given.

    >>> [len(list(of_plates(*volts))) for volts in ((230.0, 208.0), (230.0, 400.0), (None, 400.0))]
    [0, 1, 0]
    """
    if motor is None or supply is None or max(motor, supply) < TABLE().plates.ratio * min(motor, supply):
        return
    detail = f"rated for {motor:.0f} V at the insulation test, for {supply:.0f} V at the supply: one motor has one"
    yield Evidence("rated voltage", "conflicting", detail)


def of_start_winding(result: WindingsResult) -> Iterator[Evidence]:
    """What windings that add up owe to start over run; a reference that they meet settles it.

    Example: 2, 2 and 4 ohm add up, and are a start winding with its turns shorted. Above the least, and below what a
    start winding with a relay has, the maker's figures are to be looked up.
    """
    known, windings = result.start_run, "start over run winding"
    if known is None or result.verdict != "adds up" or (result.reference and result.reference.standing == "within"):
        return
    over = known.start_over_run
    low = over.value - COVERAGE * over.uncertainty
    if over.value < TABLE().start_winding.least or low < known.least.laxest:
        why = "turns of the start winding may be shorted: hold it against the maker's resistance"
        yield Evidence(windings, "undecided", f"{over.value:.2g}: {why}")
    elif over.value < known.least.value:
        why = (
            f"start over run winding {over.value:.2g}: as motors with a run capacitor have: hold it against the maker's"
        )
        yield Evidence(windings, "passed", f"{over.value:.2g}", why)


def of_warmth(by_resistance: Measured | None, by_thermometer: float | None) -> Iterator[Evidence]:
    """A contradiction between the winding's temperature by resistance and by the insulation test, K."""
    if by_resistance is None or by_thermometer is None:
        return
    apart = abs(by_resistance.value - by_thermometer) - COVERAGE * by_resistance.uncertainty
    if apart > TABLE().warmth.apart:
        found, said = by_resistance.value - 273.15, by_thermometer - 273.15
        detail = f"{found:.0f} degC by its resistance, {said:.0f} degC at the insulation test"
        yield Evidence("winding temperature", "conflicting", detail)


def of_metal(machine: Machine, kind: str) -> Iterator[Evidence]:
    """Ammonia eats copper: a motor that stands in it has other windings, which only the maker can tell.

    kind: one of `motors()`. A welded shell with ammonia in it is none that is built.
    """
    if machine.refrigerant not in TABLE().ammonia.eats_copper or not motor_of(kind).hermetic:
        return
    origin, why = "motor and refrigerant", f"{machine.refrigerant} eats the copper of a winding that stands in it"
    if machine.construction == "semi-hermetic":
        yield Evidence(origin, "passed", why, f"{why}: only with the maker's word that its windings are none")
    else:
        yield Evidence(origin, "conflicting", f"{why}: read both nameplates again")
