"""How much: flow that filters must pass, water and acid that cores must hold, oil that must be changed."""

from __future__ import annotations

from dataclasses import dataclass, field

from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.calculations.samples.oil_quality import OilProperty
from witnessmark.cleanup import contaminants, filters, oil_changes, turnover
from witnessmark.cleanup.case import Circuit, CleanupCase, OilCharge
from witnessmark.cleanup.contaminants import Load
from witnessmark.cleanup.drop_limits import DropLimit
from witnessmark.cleanup.filters import Line, Need
from witnessmark.cleanup.oil_changes import Dilution
from witnessmark.cleanup.severity import Grade
from witnessmark.cleanup.tables import table
from witnessmark.cleanup.turnover import Turnover
from witnessmark.errors import ConflictError, OutOfRangeError

MASSES = (0.001, 5000.0)
MINIMUM_ACID = 1e-6


@dataclass(slots=True)
class Notes:
    """What was assumed and who is quoted, collected on the way."""

    assumptions: list[str] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)

    def assume(self, text: str) -> None:
        """Note an assumption."""
        self.assumptions.append(text)

    def cite(self, *ids: str) -> None:
        """Quote sources."""
        self.sources.extend(ids)


def flow(circuit: Circuit, notes: Notes) -> tuple[float, str] | None:
    """Mass flow, kg/s, and where it comes from; None where it is not known."""
    if circuit.mass_flow is not None:
        return circuit.mass_flow, "given"
    if circuit.capacity is not None and circuit.liquid is not None:
        found = turnover.flow_from_capacity(circuit.refrigerant, circuit.capacity, circuit.evaporating, circuit.liquid)
        notes.assume("Mass flow: cooling capacity over the enthalpy from saturated liquid to saturated vapour.")
        notes.cite("coolprop")
        return found, "capacity and enthalpy difference"
    notes.assume("Mass flow not known (give it, or capacity and liquid temperature): filters not sized.")
    return None


def turnover_of(circuit: Circuit, oil: OilCharge, found: tuple[float, str] | None, notes: Notes) -> Turnover | None:
    """Turnover times; None where flow or charge is not known."""
    if found is None or circuit.charge is None:
        notes.assume("Turnover time not known (mass flow and charge): checks keep the printed intervals.")
        return None
    turn = turnover.turnover(circuit.charge, *found, oil_charge=oil.total)
    notes.cite("mixed-loop")
    if turn.oil_time is not None:
        share = table("intervals")["oil_circulation"]["share"]
        notes.assume(f"Oil: {100 * share:.3g} % of the mass flow taken as oil that travels with the refrigerant.")
        notes.cite(table("intervals")["oil_circulation"]["source"])
    return turn


def needs(case: CleanupCase, limit: DropLimit, found: tuple[float, str] | None, notes: Notes) -> tuple[Need, ...]:
    """What the suction line, and with a known liquid temperature the liquid line, ask of a filter."""
    if found is None:
        return ()
    notes.cite("drop-exponent", "ahri-730", table("sizing")["start_share"]["source"])
    circuit, superheat = case.circuit, case.circuit.superheat
    if superheat is None:
        superheat = float(table("sizing")["suction_superheat"]["value_K"])
        notes.assume(f"Suction superheat at the filter: {superheat:.3g} K.")
    density = filters.suction_density(circuit.refrigerant, circuit.evaporating, superheat)
    suction = filters.need("suction", found[0], density, limit.drop)
    return (suction, *_liquid_need(case, found[0], notes))


def _liquid_need(case: CleanupCase, mass_flow: float, notes: Notes) -> tuple[Need, ...]:
    circuit = case.circuit
    if circuit.liquid is None:
        return ()
    notes.cite("ahri-710")
    line: Line = "liquid"
    density = filters.liquid_density(circuit.refrigerant, circuit.liquid)
    limit, source = filters.liquid_limit(circuit.refrigerant, circuit.liquid, case.maker_liquid_drop)
    notes.cite(source)
    if case.maker_liquid_drop is not None:
        notes.assume("Liquid drier: sized for the maker's limit of its drop, which overrides the published ones.")
    return (filters.need(line, mass_flow, density, limit),)


def loads(case: CleanupCase, notes: Notes) -> tuple[Load, ...]:
    """Water and acid to be taken up, as far as they are known, with the number of cores."""
    return (*_water(case, notes), *_acid(case, notes))


def spoiled_oil(oil: OilCharge) -> float | None:
    """Old oil that stays in the circuit after the failed compressor went out with its own, kg."""
    if oil.total is None:
        return None
    _within("oil.charge", oil.total)
    drained = oil.drained or 0.0
    if not 0 <= drained <= oil.total:
        raise ConflictError(("oil.drained", "oil.charge"), "more oil drained than it holds", "at most the charge")
    return oil.total - drained


def _water(case: CleanupCase, notes: Notes) -> tuple[Load, ...]:
    pools = [*_water_in_oil(case), *_water_in_refrigerant(case)]
    if not pools:
        return ()
    notes.cite("ashrae-63-1")
    notes.assume(
        "Water: what old oil and refrigerant hold above their targets; water in wet parts or a leak not counted."
    )
    mass = sum(pools)
    return (
        Load("water", mass, _target(case, "water"), contaminants.cores_for(mass, _smallest(case, "water_capacity"))),
    )


def _water_in_oil(case: CleanupCase) -> tuple[float, ...]:
    old, reading = spoiled_oil(case.oil), case.signs.water
    if old is None or reading is None:
        return ()
    return (contaminants.excess_water(old, _worst(reading), _target(case, "water")),)


def _water_in_refrigerant(case: CleanupCase) -> tuple[float, ...]:
    circuit = case.circuit
    if circuit.charge is None or circuit.water_in_refrigerant is None:
        return ()
    row = table("sizing")["dry_refrigerant"]
    return (contaminants.excess_water(circuit.charge, circuit.water_in_refrigerant, row["water_mg_per_kg"] * 1e-6),)


def _acid(case: CleanupCase, notes: Notes) -> tuple[Load, ...]:
    old, reading = spoiled_oil(case.oil), case.signs.acid_number
    if old is None or reading is None:
        return ()
    notes.cite("koh-equivalents", "ashrae-63-1")
    target = _target(case, "acid_number")
    mass = contaminants.acid_load(old, _worst(reading), target)
    return (Load("acid", mass, target, contaminants.cores_for(mass, _smallest(case, "acid_capacity"))),)


def dilution(case: CleanupCase, grade: Grade, notes: Notes) -> Dilution | None:
    """The dilution series of oil changes; None where the oil charge or the share that drains is not known."""
    old, oil = spoiled_oil(case.oil), case.oil
    if old is None or oil.total is None or oil.drained_per_change is None:
        return None
    if not 0 < oil.drained_per_change <= oil.total:
        raise OutOfRangeError("oil.drained_per_change", oil.drained_per_change, 0.0, oil.total, "mass")
    notes.cite("residual-oil")
    share, target = oil.drained_per_change / oil.total, _residual_target(case, grade, notes)
    return oil_changes.dilution(old / oil.total, share, target)


def _residual_target(case: CleanupCase, grade: Grade, notes: Notes) -> float:
    """Share of old oil that may stay: what brings the acid number to its target, or the printed share without one."""
    row, acid = table("sizing")["residual_target"], case.signs.acid_number
    if acid is None:
        return float(row["severe" if grade > 1 else "mild"])
    notes.assume("Oil changes: acid taken as carried by the old oil alone; fresh acid from residues comes on top.")
    return min(1.0, _target(case, "acid_number") / max(_worst(acid), MINIMUM_ACID))


def _worst(reading: Measured) -> float:
    return reading.value + COVERAGE * reading.uncertainty


def _target(case: CleanupCase, quantity: OilProperty) -> float:
    """What the oil should come down to: the maker's limit, else the strictest one of any level."""
    maker = case.signs.maker_limits.get(quantity)
    found = oil_quality.limits(case.signs.oil, quantity)
    return maker if maker is not None else min((limit.value for limit in found), default=0.0)


def _smallest(case: CleanupCase, name: str) -> float | None:
    known = [value for rating in case.ratings if (value := getattr(rating, name)) is not None]
    return min(known, default=None)


def _within(field: str, value: float) -> None:
    if not MASSES[0] <= value <= MASSES[1]:
        raise OutOfRangeError(field, value, *MASSES, "mass")
