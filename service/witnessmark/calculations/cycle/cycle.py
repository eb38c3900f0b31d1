"""The whole cycle from whatever readings there are, and which reading contradicts the others.

All readings are fitted at once: every unknown of `cycle_model` is chosen so that the readings, each weighted by its
uncertainty, are met best; usual values stand in, with wide uncertainty, for what was not read. More readings than
unknowns check each other (`reconciliation`). SI: Pa absolute, K, kg/s, W, m³ per revolution, revolutions per second.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.compressor.compressor_types import (
    compressor_type,
    cooling_of,
    heads_loss,
    heads_may_be_cooled,
    heat_taken,
    loss_of,
)
from witnessmark.calculations.cycle import cycle_model
from witnessmark.calculations.cycle.cycle_model import PER_KELVIN
from witnessmark.calculations.cycle.cycle_setup import CycleFit, CycleReadings, prepare
from witnessmark.calculations.metrology import reconciliation
from witnessmark.calculations.metrology.dogleg import Vector
from witnessmark.calculations.metrology.reconciliation import Assumption, Reconciliation, Residual, Suspicion
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, InputError
from witnessmark.refrigerants import states
from witnessmark.vocabulary import Compressor, Cooling

__all__ = ["Cycle", "CycleNumbers", "CyclePoint", "CycleReadings", "PointName", "solve"]

PointName = TypeAliasType("PointName", Literal["suction", "discharge", "ideal", "liquid", "evaporator_inlet"])
"""The state points in order of flow; `ideal` is the end of compression at constant entropy."""


@dataclass(frozen=True, slots=True)
class CyclePoint:
    """A state point; uncertainties of entropy and density follow from those given."""

    name: PointName
    pressure: Measured
    temperature: Measured
    enthalpy: Measured
    state: states.State

    @property
    def entropy(self) -> float:
        """J/(kg K)."""
        return self.state.entropy

    @property
    def density(self) -> float:
        """kg/m3."""
        return self.state.density

    @property
    def quality(self) -> float | None:
        """Vapour mass fraction; None in one phase."""
        return self.state.quality

    @property
    def phase(self) -> states.PhaseName:
        """What stands there."""
        return self.state.phase


@dataclass(frozen=True, slots=True)
class CycleNumbers:
    """Derived numbers, SI; None where no reading leads to them.

    superheat, discharge_superheat, subcooling: 0 where the fit finds liquid in the gas or flash gas in the liquid; the
    quality beside each then tells how much (vapour mass fraction, else None); efficiency: ideal work over electrical
    work; work, refrigerating_effect, heat_rejected: J/kg; volumetric_capacity: J per m³ of suction gas; cooling_cop,
    heating_cop: heat over electrical work.
    """

    pressure_ratio: Measured
    suction_dew_temperature: Measured
    discharge_bubble_temperature: Measured | None
    discharge_dew_temperature: Measured | None
    superheat: Measured
    suction_quality: Measured | None
    subcooling: Measured | None
    liquid_quality: Measured | None
    discharge_superheat: Measured | None
    discharge_quality: Measured | None
    efficiency: Measured
    work: Measured
    refrigerating_effect: Measured
    heat_rejected: Measured
    cooling_cop: Measured
    heating_cop: Measured
    volumetric_capacity: Measured
    evaporator_inlet_quality: Measured
    mass_flow: Measured | None
    power: Measured | None
    cooling_capacity: Measured | None
    heating_capacity: Measured | None
    volumetric_efficiency: Measured | None


@dataclass(frozen=True, slots=True)
class Cycle:
    """The fitted cycle: points in order of flow, derived numbers, every reading against the fit, and the suspicion.

    corrected: the numbers once more without the one reading that was named; None where none was, or where it is needed.
    """

    points: tuple[CyclePoint, ...]
    numbers: CycleNumbers
    residuals: tuple[Residual, ...]
    suspicion: Suspicion
    probability: float
    notes: tuple[str, ...]
    corrected: CycleNumbers | None = None


def solve(
    designation: str,
    readings: CycleReadings,
    compressor: Compressor | None = None,
    cooling: Cooling | None = None,
) -> Cycle:
    """Fit the cycle to the readings of a machine whose compressor is of this type, its gas so cooled (None: not known).

    Errors: UnknownNameError (refrigerant, compressor), InputError and OutOfRangeError naming the reading,
    ConflictError without a pressure rise, or naming readings that do not settle on one cycle.

    >>> numbers = solve("R-134a", CycleReadings(Measured(300e3, 3e3), Measured(1e6, 1e4))).numbers
    >>> round(numbers.pressure_ratio.value, 2), round(numbers.superheat.value, 1)
    (3.33, 8.0)
    """
    cycle = _fitted(designation, readings, compressor, cooling)
    culprit = cycle.suspicion.suspects[0].observation if cycle.suspicion.verdict == "one reading" else None
    if culprit is None or isinstance(culprit, Assumption):
        return cycle
    rest = replace(readings, **{"displacement" if culprit.name == "swept_flow" else culprit.name: None})
    try:
        return replace(cycle, corrected=_fitted(designation, rest, compressor, cooling).numbers)
    except InputError:
        return cycle


def _fitted(designation: str, readings: CycleReadings, compressor: Compressor | None, cooling: Cooling | None) -> Cycle:
    taken, heads = cooling_of(compressor, cooling), heads_may_be_cooled(designation, compressor, cooling)
    loss = heads_loss() if heads else loss_of(taken)
    problem = prepare(designation, readings, compressor_type(compressor), loss)
    if heads:
        problem = replace(problem, notes=(*problem.notes, "heads-take"))
    elif heat_taken(taken) is not None:
        problem = replace(problem, notes=(*problem.notes, f"cycle-cooled-by-{taken}"))
    names, predicted = tuple(problem.parameters), cycle_model.predictor(designation)

    def model(unknowns: Vector) -> Mapping[str, float]:
        return predicted(dict(zip(names, unknowns.tolist(), strict=True)))

    fit = reconciliation.fit(model, tuple(problem.parameters.values()), problem.observations)
    if not fit.settled:
        raise _unsettled(fit)
    return _described(designation, problem, fit)


def _unsettled(fit: Reconciliation) -> ConflictError:
    """Names the two readings that fit worst."""
    read = [r for r in fit.residuals if not isinstance(r.observation, Assumption)]
    worst = sorted(read, key=lambda r: -abs(r.fitted - r.observation.value) / r.observation.sigma)[:2]
    names = tuple("displacement" if r.observation.name == "swept_flow" else r.observation.name for r in worst)
    fault = "these readings do not settle on one cycle; the ones named fit worst"
    return ConflictError(names, fault, "readings of one machine in steady running")


def _described(designation: str, problem: CycleFit, fit: Reconciliation) -> Cycle:
    measured = {name: Measured(v, fit.uncertainties[name]) for name, v in fit.values.items()}
    points = _points(designation, problem, measured)
    return Cycle(
        points=points,
        numbers=_numbers(measured),
        residuals=fit.residuals,
        suspicion=reconciliation.suspicion(fit),
        probability=fit.probability,
        notes=(*problem.notes, *_phases(problem, fit), *(["extrapolated"] if _extrapolated(points) else [])),
    )


def _numbers(measured: Mapping[str, Measured]) -> CycleNumbers:
    """The fit continues margins below zero to find how much of the other phase there is: no thermometer shows that."""
    numbers: dict[str, Measured | None] = {f.name: measured.get(f.name) for f in fields(CycleNumbers)}
    for margin, quality, pure in (
        ("superheat", "suction_quality", 1.0),
        ("discharge_superheat", "discharge_quality", 1.0),
        ("subcooling", "liquid_quality", 0.0),
    ):
        fitted = measured.get(margin)
        if fitted is not None and fitted.value < 0:
            share = PER_KELVIN * fitted.value
            numbers |= {
                margin: Measured(0.0),
                quality: Measured(abs(pure + share), PER_KELVIN * fitted.uncertainty),
            }
    return CycleNumbers(**numbers)  # type: ignore[arg-type]


def _phases(problem: CycleFit, fit: Reconciliation) -> list[str]:
    """Ids of what the fit makes of the phases, for `wording`: at saturation no thermometer tells more."""
    notes = []
    for k, (name, parameter) in enumerate(problem.parameters.items()):
        if k in fit.pinned:
            notes.append(f"cycle-{name}-zero")
        elif parameter.kink is not None and fit.values[name] < parameter.kink:
            notes.append(f"cycle-{name}-below")
    return [note.replace("_", "-") for note in notes]


def _extrapolated(points: Iterable[CyclePoint]) -> bool:
    return any(point.state.extrapolated for point in points)


def _points(designation: str, problem: CycleFit, measured: Mapping[str, Measured]) -> tuple[CyclePoint, ...]:
    unknowns = {name: measured[name].value for name in problem.parameters}
    cycle = cycle_model.states_of(designation, unknowns)
    if cycle.discharge.state is None:
        fault = "the readings lead to a discharge hotter than the property equations go"
        raise InputError("discharge_pressure", fault, "a smaller pressure ratio")
    named: dict[PointName, states.State] = {
        "suction": cycle.suction,
        "discharge": cycle.discharge.state,
        "liquid": cycle.liquid_line,
        "evaporator_inlet": cycle.evaporator_inlet,
        "ideal": cycle.ideal,
    }
    return tuple(_point(name, state, measured) for name, state in named.items())


def _point(name: PointName, state: states.State, measured: Mapping[str, Measured]) -> CyclePoint:
    side = "suction" if name in {"suction", "evaporator_inlet"} else "discharge"
    return CyclePoint(
        name=name,
        pressure=measured[f"{side}_pressure"],
        temperature=measured[f"{name}.temperature"],
        enthalpy=measured[f"{name}.enthalpy"],
        state=state,
    )
