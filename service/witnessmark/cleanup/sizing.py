"""How much a job needs: flow that filters must pass, water and acid that cores must hold, oil that must be changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from scipy.constants import micro

from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Measured
from witnessmark.calculations.samples import oil_quality
from witnessmark.cleanup import contaminants, filters, oil_changes, turnover
from witnessmark.cleanup.contaminants import ContaminantLoad, CoreSets
from witnessmark.cleanup.drop_limits import DropLimit
from witnessmark.cleanup.filters import FilterFit, FilterNeed
from witnessmark.cleanup.interval_rules import INTERVALS
from witnessmark.cleanup.job import CleanupJob, OilCharge
from witnessmark.cleanup.line_states import liquid_density, suction_density
from witnessmark.cleanup.notes import Notes
from witnessmark.cleanup.oil_changes import Dilution
from witnessmark.cleanup.severity import SEVERITY
from witnessmark.cleanup.sizing_rules import SIZING
from witnessmark.cleanup.turnover import CircuitFlow, Turnover
from witnessmark.errors import ConflictError, OutOfRangeError, located
from witnessmark.vocabulary import BurnoutGrade

OIL_CHARGES = (0.001, 5000.0)
MOST_APART = 2.0
"""Times by which a flow may differ from what the capacity takes: superheat, load and rating points explain no more."""
LEAST_ACID = 1e-6
"""mg KOH/g; oil with less needs no change on account of its acid."""


def circuit_flow(job: CleanupJob, notes: Notes) -> CircuitFlow | None:
    """Mass flow of the circuit, kg/s; None where neither it nor capacity and liquid temperature are known.

    >>> from datetime import datetime
    >>> job = CleanupJob("R-22", 258.15, "POE", datetime(2026, 6, 1), "UTC", capacity=1e4, liquid_temperature=303.15)
    >>> round(circuit_flow(job, Notes()).mass_flow, 4)
    0.0615
    """
    if job.mass_flow is not None:
        _one_flow(job, job.mass_flow)
        return CircuitFlow(job.mass_flow)
    if job.capacity is None or job.liquid_temperature is None:
        notes.assume("Mass flow not known (give it, or capacity and liquid temperature): filters not sized.")
        return None
    notes.assume("Mass flow: cooling capacity over the enthalpy from saturated liquid to saturated vapour.")
    notes.cite("coolprop")
    mass_flow = turnover.flow_from_capacity(
        job.refrigerant, job.capacity, job.evaporating_temperature, job.liquid_temperature
    )
    return CircuitFlow(mass_flow, "capacity and enthalpy difference")


def _one_flow(job: CleanupJob, mass_flow: float) -> None:
    """ConflictError where flow and capacity are not of one circuit: filters would be sized for neither."""
    if job.capacity is None or job.liquid_temperature is None:
        return
    carried = turnover.flow_from_capacity(
        job.refrigerant, job.capacity, job.evaporating_temperature, job.liquid_temperature
    )
    if not carried / MOST_APART <= mass_flow <= carried * MOST_APART:
        fault = f"a capacity that takes {3600 * carried:.3g} kg/h does not go with this flow"
        raise ConflictError(("mass_flow", "capacity"), fault, "both of one circuit, or one of them")


def turnover_of(job: CleanupJob, flow: CircuitFlow | None, notes: Notes) -> Turnover | None:
    """Turnover times; None where flow or charge is not known. OutOfRangeError (charge, mass_flow, oil_charge.total)."""
    if flow is None or job.charge is None:
        notes.assume("Turnover time not known (mass flow and charge): checks keep the printed intervals.")
        return None
    with located(oil_charge="oil_charge.total"):
        times = turnover.turnover(job.charge, flow, job.oil_charge.total)
    notes.cite("mixed-loop")
    if times.oil_time is not None:
        circulation = INTERVALS().oil_circulation
        share = f"{100 * circulation.value:.3g} %"
        notes.assume(f"Oil: {share} of the mass flow taken as oil that travels with the refrigerant.")
        notes.cite(circulation.source)
    return times


def filter_needs(job: CleanupJob, limit: DropLimit, flow: CircuitFlow | None, notes: Notes) -> tuple[FilterNeed, ...]:
    """What the suction line, and with a known liquid temperature the liquid line, ask of a filter."""
    if flow is None:
        return ()
    notes.cite("drop-exponent", "ahri-730", SIZING().start_share.source)
    superheat = job.suction_superheat
    if superheat is None:
        superheat = SIZING().suction_superheat.value
        notes.assume(f"Suction superheat at the filter: {superheat:.3g} K.")
    if job.chiller:
        return ()
    density = suction_density(job.refrigerant, job.evaporating_temperature, superheat)
    suction = filters.need("suction", flow.mass_flow, density, limit.drop)
    return (suction, *_liquid_need(job, flow.mass_flow, notes))


def _liquid_need(job: CleanupJob, mass_flow: float, notes: Notes) -> Iterator[FilterNeed]:
    refrigerant, liquid = job.refrigerant, job.liquid_temperature
    if liquid is None:
        return
    limit, source, word = filters.liquid_limit(
        refrigerant, liquid, job.maker_limits.liquid_drop, job.maker_limits.document
    )
    notes.cite("ahri-710", source)
    if word is not None:
        notes.warn(*word.cautions)
    if word is not None and word.counts:
        notes.assume("Liquid drier: sized for the maker's limit of its drop, which overrides the published ones.")
    yield filters.need("liquid", mass_flow, liquid_density(refrigerant, liquid), limit)


def filter_fits(job: CleanupJob, needs: tuple[FilterNeed, ...], notes: Notes) -> tuple[FilterFit, ...]:
    """How each filter of the job fits the need of its line; errors name it `filters.<position>.…`."""
    fits: list[FilterFit] = []
    for position, rated in enumerate(job.filters):
        notes.cite("ahri-710" if rated.line == "liquid" else "ahri-730")
        with located(f"filters.{position}"):
            rating = filters.rating(rated, job.refrigerant, job.evaporating_temperature, job.liquid_temperature)
        fits += [filters.fit(need, rating, position) for need in needs if need.line == rated.line]
    return tuple(fits)


def spoiled_oil(oil: OilCharge) -> float | None:
    """Old oil that stays in the circuit after the failed compressor went out with its own, kg.

    OutOfRangeError (oil_charge.total), ConflictError where more was drained than it holds.

    >>> round(spoiled_oil(OilCharge(total=3.0, drained=0.9)), 6)
    2.1
    """
    if oil.total is None:
        return None
    within("oil_charge.total", oil.total, OIL_CHARGES, "mass")
    drained = oil.drained or 0.0
    if not 0 <= drained <= oil.total:
        fields = ("oil_charge.drained", "oil_charge.total")
        raise ConflictError(fields, "more oil drained than it holds", "at most the charge")
    return oil.total - drained


def contaminant_loads(job: CleanupJob, notes: Notes) -> tuple[ContaminantLoad, ...]:
    """Water and acid to be taken up, as far as they are known, with the number of cores."""
    return (*_water(job, notes), *_acid(job, notes))


def _water(job: CleanupJob, notes: Notes) -> Iterator[ContaminantLoad]:
    target = _target(job, "water")
    spoiled, in_oil = spoiled_oil(job.oil_charge), job.signs.water
    pools = []
    if spoiled is not None and in_oil is not None:
        pools.append(contaminants.excess_water(spoiled, _upper_end(in_oil), target))
    if job.charge is not None and job.refrigerant_water is not None:
        dry = SIZING().dry_refrigerant.value * micro
        pools.append(contaminants.excess_water(job.charge, job.refrigerant_water, dry))
    if pools:
        notes.cite("ashrae-63-1")
        notes.assume(
            "Water: what old oil and refrigerant hold above their targets; water in wet parts or a leak not counted."
        )
        cores = contaminants.cores_for(sum(pools), _least(rated.water_capacity for rated in job.filters))
        yield ContaminantLoad("water", "water", sum(pools), target, cores)


def _acid(job: CleanupJob, notes: Notes) -> Iterator[ContaminantLoad]:
    spoiled, number = spoiled_oil(job.oil_charge), job.signs.acid_number
    if spoiled is not None and number is not None:
        notes.cite("koh-equivalents", "ashrae-63-1")
        target = _target(job, "acid_number")
        mass = contaminants.acid_load(spoiled, _upper_end(number), target)
        rated = [filter_drier.acid_capacity for filter_drier in job.filters]
        least = _least(contaminants.koh_equivalent(acid.mass, acid.acid) for acid in rated if acid is not None)
        yield ContaminantLoad("acid", "KOH equivalent", mass, target, contaminants.cores_for(mass, least))


def core_sets(grade: BurnoutGrade, loads: Iterable[ContaminantLoad], notes: Notes) -> CoreSets:
    """Sets of cores to have at hand: what the grade asks for, or the mass balance where that is more.

    >>> core_sets(3, (), Notes()).sets
    3
    """
    by_grade, counts = SIZING().core_sets.value[grade], [load.cores for load in loads if load.cores is not None]
    by_balance, name = max(counts, default=None), SEVERITY().grade[grade].name
    notes.cite(SIZING().core_sets.source)
    balance = "no mass balance: oil, its acid or water, or the capacity of a core is not known"
    if by_balance is not None:
        balance = f"{by_balance} by the mass balance of what the old oil and charge hold in solution"
    residues = "residues on the walls hold more, so that samples end it, not the count"
    rests_on = f"{by_grade} by the grade '{name}'; {balance}; {residues}."
    return CoreSets(max(by_grade, by_balance or 0), by_grade, by_balance, rests_on)


UNMEASURED = (
    "Oil changes: no acid number was measured, so the count is that of the printed share of old oil, and no more than "
    "a bound: sample after each change, and stop when the oil is in limits."
)
NO_CORES = CoreSets(
    0,
    0,
    None,
    "none: cores made for halocarbons have no place in an ammonia circuit; the maker of the plant says what dries and "
    "filters it.",
)

NO_CORES_OF_A_CHILLER = CoreSets(
    0,
    0,
    None,
    "none: no suction core goes into a centrifugal chiller; its charge is reclaimed, its oil, oil filter and small "
    "driers are changed by samples.",
)


def oil_dilution(job: CleanupJob, grade: BurnoutGrade, notes: Notes) -> Dilution | None:
    """The dilution series of oil changes; None where the oil charge or what one change drains is not known."""
    oil = job.oil_charge
    spoiled = spoiled_oil(oil)
    if spoiled is None or oil.total is None or oil.drained_per_change is None:
        return None
    if not 0 < oil.drained_per_change <= oil.total:
        raise OutOfRangeError("oil_charge.drained_per_change", oil.drained_per_change, 0.0, oil.total, "mass")
    notes.cite("residual-oil")
    drained_share = oil.drained_per_change / oil.total
    return oil_changes.dilution(spoiled / oil.total, drained_share, _residual_target(job, grade, notes))


def _residual_target(job: CleanupJob, grade: BurnoutGrade, notes: Notes) -> float:
    """Share of old oil that may stay: what brings the acid number to its target, or the printed share without one."""
    printed, number = SIZING().residual_target, job.signs.acid_number
    if number is None:
        notes.assume(UNMEASURED)
        return printed.severe if grade > 1 else printed.mild
    notes.assume("Oil changes: acid taken as carried by the old oil alone; fresh acid from residues comes on top.")
    return min(1.0, _target(job, "acid_number") / max(_upper_end(number), LEAST_ACID))


def _upper_end(reading: Measured) -> float:
    return reading.value + COVERAGE * reading.uncertainty


def _target(job: CleanupJob, quantity: oil_quality.OilProperty) -> float:
    """What the oil should come down to: the maker's limit, else the strictest one of any level."""
    word = job.maker_limits.words(job.oil).get(quantity)
    if word is not None and word.counts:
        return word.value
    return min((limit.value for limit in oil_quality.limits(job.oil, quantity)), default=0.0)


def _least(capacities: Iterable[float | None]) -> float | None:
    return min((capacity for capacity in capacities if capacity is not None), default=None)
