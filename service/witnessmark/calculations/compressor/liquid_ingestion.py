"""How much liquid a positive-displacement compressor can swallow: per turn, at each speed, along a ramp, as a slug.

liquid_pocket.py has the mechanics, liquid_model.py the readings and estimates. SI; pressures Pa absolute, speeds rev/s,
volumes m3; quality is mass of vapour per mass. A screening calculation: it ranks states, it does not permit any.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from typing_extensions import TypeAliasType

from witnessmark.calculations.compressor import liquid_model as parts
from witnessmark.calculations.compressor.liquid_model import LiquidModel, PocketCompressor, WetSuctionState
from witnessmark.calculations.compressor.liquid_pocket import liquid_share
from witnessmark.calculations.compressor.liquid_rules import RULES, AdviceId
from witnessmark.calculations.metrology.ranges import within
from witnessmark.calculations.metrology.uncertainty import COVERAGE, Estimate, Measured
from witnessmark.errors import ConflictError

IngestionVerdict = TypeAliasType(
    "IngestionVerdict", Literal["dry", "taken", "dilutes", "over-current", "locks", "cannot tell"]
)
"""dry; taken: wet but pumped; dilutes: pumped, but oil and bearings do not stand it; over-current: a protector trips;
locks: the liquid fills the pocket, and no gaps that are known let it out."""
VOLUMES, RATIOS, SPEEDS, HEATS = (1e-7, 0.1), (1.05, 60.0), (0.5, 500.0), (0.0, 1e6)
QUALITIES, AREAS, TURNS, TIMES = (0.0, 1.0), (1e-9, 1e-2), (0.2, 5.0), (1e-3, 1e5)
DRY = 1 - 1e-6
STEPS = 20
DIFFERS = 0.02


@dataclass(frozen=True, slots=True)
class SpeedRamp:
    """A ramp to `speed` in `time` s, while the quality moves evenly to `quality`."""

    speed: float
    time: float
    quality: float


@dataclass(frozen=True, slots=True)
class AtSpeed:
    """One speed: liquid per turn m3, its share of the closed pocket (1 locks without escape), what follows from it.

    pocket_quality: after the heat; expelling_pressure Pa; load_factor: work over dry work (None once the liquid fills
    the pocket); lock_quality and least_slug m3 at which the pocket locks, None where even pure liquid escapes.
    verdict needs the whole uncertainty on one side; by_the_numbers takes the values as they stand.
    """

    speed: float
    pocket_quality: Estimate
    liquid_per_turn: Estimate
    filled: Estimate
    expelling_pressure: Estimate
    load_factor: Estimate | None
    lock_quality: Estimate | None
    least_slug: Estimate | None
    verdict: IngestionVerdict
    by_the_numbers: IngestionVerdict


@dataclass(frozen=True, slots=True)
class RampStep:
    """A moment of the ramp, s: speed rev/s, quality in the pocket, and the quality at which it locks (None: never)."""

    time: float
    speed: float
    quality: float
    lock_quality: float | None
    verdict: IngestionVerdict


@dataclass(frozen=True, slots=True)
class Ingestion:
    """The state at the speed asked for and at others, the quality that trips, the ramp, and ids of what to say of it.

    time_to_act: s from overload to locking on the ramp; None where it does not lock.
    """

    at_speed: AtSpeed
    other_speeds: tuple[AtSpeed, ...]
    trip_quality: Estimate
    ramp: tuple[RampStep, ...]
    time_to_act: float | None
    advice: tuple[AdviceId, ...]


@dataclass(frozen=True, slots=True)
class Run:
    """How it turns: speed rev/s, other speeds to compare, and a ramp away from the speed."""

    speed: float
    other_speeds: tuple[float, ...] = ()
    ramp: SpeedRamp | None = None


def liquid_ingestion(machine: PocketCompressor, suction: WetSuctionState, run: Run) -> Ingestion:
    """Liquid per turn against the closing pocket, at one speed and at others, along a ramp, and in plain words.

    Errors: UnknownNameError (`refrigerant`); InputError, OutOfRangeError, ConflictError with fields `displacement`,
    `volume_ratio`, `leakage_area`, `closing_turns`, `pressure`, `discharge_pressure`, `quality`, `heat`, `speed`,
    `other_speeds.N`, `ramp.…`.

    >>> machine = PocketCompressor(Measured(30e-6), Measured(2.6))
    >>> suction = WetSuctionState("R-410A", Measured(8e5), Measured(0.97), Measured(27e5))
    >>> state = liquid_ingestion(machine, suction, Run(50.0)).at_speed
    >>> round(state.liquid_per_turn.value * 1e6, 2), round(state.filled.value, 4), state.verdict
    (0.02, 0.0021, 'taken')
    """
    _check(machine, suction)
    _check_run(run)
    model, told = parts.model(machine, suction), machine.leakage_area is not None
    trip = parts.trip_quality(model)
    here, *elsewhere = (_at_speed(model, suction, speed, trip, told=told) for speed in (run.speed, *run.other_speeds))
    steps = () if run.ramp is None else _ramp(model, suction, run, trip.value, told=told)
    seconds = _seconds_to_act(steps)
    advice: tuple[AdviceId, ...] = (_advice(here), *_more_advice((here, *elsewhere), steps, seconds))
    return Ingestion(here, tuple(elsewhere), trip, steps, seconds, advice)


def _check(machine: PocketCompressor, suction: WetSuctionState) -> None:
    within("displacement", machine.displacement, VOLUMES, "volume")
    within("volume_ratio", machine.volume_ratio, RATIOS)
    within("leakage_area", machine.leakage_area, AREAS, "area")
    within("closing_turns", machine.closing_turns, TURNS)
    within("quality", suction.quality, QUALITIES)
    within("heat", suction.heat, HEATS, "power")
    if not suction.discharge_pressure.value >= suction.pressure.value:
        raise ConflictError(
            ("discharge_pressure", "pressure"),
            "discharge pressure below suction pressure",
            "a discharge pressure not below the suction pressure",
        )


def _check_run(run: Run) -> None:
    within("speed", run.speed, SPEEDS, "frequency")
    for k, other in enumerate(run.other_speeds):
        within(f"other_speeds.{k}", other, SPEEDS, "frequency")
    if run.ramp is not None:
        within("ramp.speed", run.ramp.speed, SPEEDS, "frequency")
        within("ramp.time", run.ramp.time, TIMES, "time")
        within("ramp.quality", run.ramp.quality, QUALITIES)


def _at_speed(model: LiquidModel, suction: WetSuctionState, speed: float, trip: Estimate, *, told: bool) -> AtSpeed:
    """told: the gaps are those of this machine, not the estimate."""
    inside = parts.pocket_quality(model, suction.quality, suction.heat, speed)
    quality, lock = inside.measured, parts.lock_share(model, speed)
    filled = parts.filled_share(model, quality)
    locking = parts.lock_quality(model, lock) if lock.value < 1 else None
    return AtSpeed(
        speed=speed,
        pocket_quality=inside,
        liquid_per_turn=parts.liquid_per_turn(model, quality),
        filled=filled,
        expelling_pressure=parts.expelling_pressure(model, quality, speed),
        load_factor=parts.load(model, quality) if filled.value < 1 else None,
        lock_quality=locking,
        least_slug=parts.least_slug(model, lock) if locking else None,
        verdict=_verdict(model, suction.quality, inside, (trip, lock), None if told else filled),
        by_the_numbers=_plainly(
            (suction.quality.value, inside.value),
            trip.value,
            locking.value if locking else None,
            full=not told and filled.value >= 1,
        ),
    )


def _verdict(
    model: LiquidModel,
    arriving: Measured,
    inside: Estimate,
    limits: tuple[Estimate, Estimate],
    filled: Estimate | None,
) -> IngestionVerdict:
    """The verdict on which both ends of the intervals agree; limits: quality that trips, share that locks.

    filled: share of the pocket, None where the gaps are this machine's own. What an estimate of the gaps lets out,
    known to a factor of thirty, saves no pocket that the liquid alone fills.
    """
    trip, lock = limits
    if inside.low > trip.high:
        return _pumped(arriving, inside)
    wettest, driest = (liquid_share(parts.clipped(x), model.density_ratio.value) for x in (inside.low, inside.high))
    if driest > lock.high or (filled is not None and filled.low > 1):
        return "locks"
    if filled is not None and filled.high > 1:
        return "cannot tell"
    return "over-current" if inside.high < trip.low and wettest < lock.low else "cannot tell"


def _pumped(arriving: Measured, inside: Estimate) -> IngestionVerdict:
    """What the pocket takes is judged by the liquid that arrives, which the bearings and the oil meet first."""
    limit, reach = RULES().dilution.quality, COVERAGE * arriving.uncertainty
    if arriving.value + reach < limit:
        return "dilutes"
    if arriving.value - reach < limit:
        return "cannot tell"
    return "dry" if inside.low >= DRY else "taken"


def _ramp(model: LiquidModel, suction: WetSuctionState, run: Run, trip: float, *, told: bool) -> tuple[RampStep, ...]:
    ramp, exact = run.ramp, parts.exact(model)
    assert ramp is not None  # noqa: S101 - asked by the caller
    heat = None if suction.heat is None else Measured(suction.heat.value)

    def step(share: float) -> RampStep:
        speed = run.speed + share * (ramp.speed - run.speed)
        arriving = suction.quality.value + share * (ramp.quality - suction.quality.value)
        quality = parts.pocket_quality(exact, Measured(arriving), heat, speed).value
        lock = parts.lock_share(exact, speed)
        at = parts.lock_quality(exact, lock).value if lock.value < 1 else None
        full = not told and parts.filled_share(exact, Measured(quality)).value >= 1
        return RampStep(share * ramp.time, speed, quality, at, _plainly((arriving, quality), trip, at, full=full))

    return tuple(step(k / STEPS) for k in range(STEPS + 1))


def _plainly(qualities: tuple[float, float], trip: float, lock: float | None, *, full: bool) -> IngestionVerdict:
    """qualities: of what arrives, and in the pocket; full: the liquid alone fills it, and its gaps are not known."""
    arriving, quality = qualities
    if full or (lock is not None and quality <= lock):
        return "locks"
    if quality <= trip:
        return "over-current"
    if arriving < RULES().dilution.quality:
        return "dilutes"
    return "dry" if quality >= DRY else "taken"


def _seconds_to_act(steps: Sequence[RampStep]) -> float | None:
    """Seconds from the first overload of the ramp to the first locking; None where it does not lock."""
    locked = next((s.time for s in steps if s.verdict == "locks"), None)
    if locked is None:
        return None
    return locked - next(s.time for s in steps if s.verdict in ("over-current", "locks"))


def _advice(here: AtSpeed) -> AdviceId:
    return "unsure" if here.verdict == "cannot tell" else here.verdict


def _more_advice(points: Sequence[AtSpeed], steps: Sequence[RampStep], seconds: float | None) -> tuple[AdviceId, ...]:
    """Ids of what is said besides: gradual against sudden, what speed changes, what the ramp does."""
    advice: list[AdviceId] = ["gradual", "slug"]
    qualities = [p.lock_quality.value if p.lock_quality else 0.0 for p in points]
    qualities += [s.lock_quality or 0.0 for s in steps]
    if max(qualities) - min(qualities) > DIFFERS * max(qualities):
        advice.append("slow-forgiving")
    if not steps:
        return tuple(advice)
    if seconds is None:
        return (*advice, "ramp-clear")
    return (*advice, "ramp-warned" if seconds > RULES().protection.thermal else "ramp-danger")
