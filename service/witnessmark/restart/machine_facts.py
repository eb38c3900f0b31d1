"""Facts of a machine that cannot all be true, or that say what has to be made sure of before it is started.

Masses in kg, pressures in Pa absolute, temperatures in K.
"""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark import data
from witnessmark.errors import OutOfRangeError
from witnessmark.reference import SourceId
from witnessmark.refrigerants import compositions, saturation
from witnessmark.restart.context import FLOODED, OIL_SAFETY, WITHOUT_DRIER, HeaterWaiver, Machine
from witnessmark.restart.context import TABLE as CONTEXT
from witnessmark.restart.evidence import Evidence
from witnessmark.vocabulary import Compressor


class Shells(data.Row):
    """Compressors whose shell never holds discharge gas."""

    low_side_only: tuple[Compressor, ...]
    source: SourceId


class Charges(data.Row):
    """Charges beyond which a welded machine, or one of highly flammable refrigerant, is asked about."""

    welded: float
    flammable: float
    source: SourceId


class Centrifugals(data.Row):
    """Pressure at that temperature above which no centrifugal compressor runs."""

    temperature: float
    highest: float
    source: SourceId


class FactTable(data.Row):
    """The data file."""

    shells: Shells
    charges: Charges
    centrifugals: Centrifugals


TABLE = data.table(__package__, "machine_facts.toml", FactTable)
REASONS: dict[HeaterWaiver, str] = {
    "charge-below-limit": "no sump heater is fitted: make sure that the charge is below the maker's limit for one",
    "pump-down": "no sump heater is fitted: make sure that the low side was pumped down since the last stop",
    "compressor-warmer": "no sump heater is fitted: make sure that the compressor stood warmer than all the rest",
}


def of_shell(machine: Machine) -> Iterator[Evidence]:
    """A contradiction where no such compressor has a shell full of discharge gas."""
    if machine.shell == "high-side" and machine.compressor in TABLE().shells.low_side_only:
        yield Evidence(
            "shell", "conflicting", f"no {machine.compressor} compressor has a high-side shell: look at it again"
        )


def of_waiver(machine: Machine, *, claimed: bool, documented: bool) -> Iterator[Evidence]:
    """What a machine without a sump heater owes to the reason why it needs none. claimed: said to be free of liquid.

    A charge beyond what makers of such machines state is below no limit, unless a document says so.
    """
    reason = machine.no_heater_because
    if reason is None or machine.crankcase_heater_fitted is not False:
        return
    great = machine.charge is None or machine.charge > CONTEXT().small_charge.waived
    if reason == "charge-below-limit" and great and not documented:
        detail = "the charge is more than makers of such machines allow without a heater: quote the maker's document"
        yield Evidence("sump heater", "conflicting", detail)
    elif claimed:
        yield Evidence("sump heater", "passed", "none fitted, none needed as stated", REASONS[reason])


NO_DRIER = "no liquid-line drier is in"
FIT_ONE = (
    "after a burn, and where nobody graded the failure, one is fitted for the cleaning all the same: bi-directional "
    "where the flow turns; where there is no place for it, replace the unit"
)
BUILT_WITHOUT = (
    "built without a liquid-line drier: what is dry decides, so keep it capped, braze under nitrogen and prove the "
    "vacuum"
)
TAKE_OUT = (
    "a temporary suction core comes out again, or gives way to a felt element, once samples are clean and its drop is "
    "flat: within days, with the date written on the unit; left in it sheds its desiccant and starves the compressor"
)


def of_drier(machine: Machine, *, claimed: bool) -> Iterator[Evidence]:
    """The way on for a machine without a liquid-line drier. claimed: one is said to be fitted, which contradicts it."""
    takes_one = machine.refrigerant not in WITHOUT_DRIER and machine.compressor not in FLOODED
    spared = "built without a drier" in machine.spares
    if machine.liquid_drier_fitted is not False or not takes_one or (claimed and not spared):
        return
    if claimed:
        yield Evidence("machine", "conflicting", "passed, and yet: no liquid drier")
    elif spared:
        yield Evidence("liquid drier", "passed", "none fitted, none built in as stated", BUILT_WITHOUT)
    elif machine.no_drier_because is None:
        yield Evidence("liquid drier", "missing", f"{NO_DRIER}: fit one, or say that the maker builds it without")
    elif machine.burnout_grade == 0:
        yield Evidence("liquid drier", "missing", f"{NO_DRIER}: only small charges, weighed, go without: fit one")
    else:
        yield Evidence("liquid drier", "missing", f"{NO_DRIER}: {FIT_ONE}")


def of_core(machine: Machine, *, claimed: bool) -> Iterator[Evidence]:
    """What a fitted suction core owes, or a machine that has no place for one.

    claimed: the check of one is said to be passed; where nothing asks for one that is in, it is told all the same.
    """
    if "no place for a suction core" in machine.spares:
        if claimed or machine.suction_core_fitted:
            detail = f"no suction core belongs into a {machine.compressor} plant on {machine.refrigerant}: take it out"
            yield Evidence("suction core", "conflicting", detail)
    elif claimed or (machine.suction_core_fitted and machine.burnout_grade == 0 and not machine.debris_possible):
        yield Evidence("suction core", "passed", "fitted", TAKE_OUT)


def of_oil_safety(machine: Machine) -> Iterator[Evidence]:
    """What a big machine owes to being without an oil safety: few of them are."""
    bearing = machine.compressor in OIL_SAFETY and machine.construction != "hermetic" and not machine.small
    if bearing and machine.oil_safety_fitted is False and machine.motor_phases == "three-phase":
        why = "no oil safety is fitted: only on machines without an oil pump, or free of oil: make sure of it"
        yield Evidence("oil safety", "passed", "none fitted", why)


def of_charge(machine: Machine) -> Iterator[Evidence]:
    """A charge, or a kind of compressor, that no such machine has with this refrigerant.

    A hermetic centrifugal is one whose motor stands in the refrigerant: bolted, and of any size.
    """
    charges, charge = TABLE().charges, machine.charge or 0.0
    if machine.construction == "hermetic" and machine.compressor not in FLOODED and charge > charges.welded:
        yield Evidence(
            "charge and machine", "conflicting", "more than any welded machine holds: another unit, or a slip"
        )
    elif machine.safety_class.endswith("3") and charge > charges.flammable:
        why = "a charge of highly flammable refrigerant beyond that of small machines: judge room and measures first"
        yield Evidence("charge and machine", "passed", "as asked for", why)
    if machine.compressor == "centrifugal" and _pressure(machine) > TABLE().centrifugals.highest:
        detail = f"no centrifugal compressor runs on {machine.refrigerant}: read the nameplate again"
        yield Evidence("refrigerant and machine", "conflicting", detail)


def of_mixture(designation: str, *, documented: bool) -> Iterator[Evidence]:
    """What speaks against a refrigerant that is a composition: a mixed charge is recovered and not started.

    documented: the maker's document is quoted, for a blend that no list has.

    >>> [e.outcome for known in (False, True) for e in of_mixture("R-32/125/22 (40/40/20)", documented=known)]
    ['missing', 'passed']
    """
    if compositions.parse(designation) is None:
        return
    origin, detail = "refrigerant of the machine", "a mixture that no nameplate names: a mixed charge is recovered"
    if documented:
        yield Evidence(origin, "passed", detail, f"{detail}: only as the maker's document has it")
    else:
        yield Evidence(origin, "missing", f"{detail}; quote the maker's document for a blend on no list")


def _pressure(machine: Machine) -> float:
    """At the temperature of `Centrifugals`; above the critical point endless."""
    if machine.refrigerant is None:
        return 0.0
    try:
        return float(saturation.bubble_pressure(machine.refrigerant, TABLE().centrifugals.temperature))
    except OutOfRangeError:
        return float("inf")
