"""POST /v1/evacuation."""

from __future__ import annotations

import math
from collections.abc import Sequence

from witnessmark.api.desk import Desk
from witnessmark.api.quantities import Temperature, Time, Vacuum
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import inside, number_limit, quantity_limit, si
from witnessmark.api.schemas.evacuation import (
    ColdSpot,
    DecayFields,
    DecayReading,
    DecayResult,
    DilutionFields,
    DilutionResult,
    EvacuationAnswer,
    EvacuationRequest,
    EvacuationResult,
    ShapeResult,
    TimeHeld,
    VacuumHeld,
)
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations import decay_fit
from witnessmark.calculations import dilution as dilution_core
from witnessmark.calculations import evacuation as core
from witnessmark.calculations.uncertainty import Measured
from witnessmark.calculations.water import COLDEST, HOTTEST

router = version_one("restart")
HOUR = 3600.0


@calculation(router, "/evacuation", "Vacuum decay: tight, moisture or leak; dilution by repeated evacuation")
async def evacuation(body: EvacuationRequest) -> EvacuationAnswer:
    """Judge the rise with the pump shut off by its shape and by what water can reach at the coldest spot.

    A straight climb far below that pressure can be a leak or moisture; the answer then says what would decide.
    """
    desk = Desk.of(body)
    desk.warn("licensed", "pull-both-sides", "no-vacuum-running")
    decay = dilution = None
    if body.decay is not None:
        with inside("decay"):
            decay = _decay_result(desk, core.decay(read_decay(desk, body.decay)))
    if body.dilution is not None:
        with inside("dilution"):
            dilution = _dilution_result(desk, dilution_core.dilution(_sequence(desk, body.dilution)))
    return EvacuationAnswer(result=EvacuationResult(decay=decay, dilution=dilution), **desk.notes())


def read_decay(desk: Desk, body: DecayFields) -> core.DecayTest:
    """The decay test in SI."""
    desk.warn("refrigerant-in-oil")
    if body.gauge_accuracy is None:
        desk.cite(core.data()["gauge"]["source"])
        share = core.data()["gauge"]["of_reading"]
        desk.assume(f"Vacuum gauge: {share:.0%} of reading as standard uncertainty common to all its readings.")
    return core.DecayTest(
        readings=_readings(desk, body.readings, "readings"),
        coldest=desk.read(body.coldest, "coldest", COLDEST, HOTTEST, "pipe-thermometer"),
        method=body.method,
        oil=body.oil,
        earlier=_readings(desk, body.earlier or (), "earlier"),
        scale_uncertainty=body.gauge_accuracy,
        maker_vacuum=si(body.maker_vacuum, "maker_vacuum", core.PRESSURES),
        maker_after_hold=si(body.maker_after_hold, "maker_after_hold", core.PRESSURES),
        maker_hold=si(body.maker_hold, "maker_hold", core.MAKER_HOLDS),
    )


def _readings(desk: Desk, given: Sequence[DecayReading], field: str) -> tuple[decay_fit.DecayReading, ...]:
    found = []
    for k, reading in enumerate(given):
        time = desk.read(reading.time, f"{field}.{k}.time", 0.0, core.LONGEST).value
        pressure = desk.read(reading.pressure, f"{field}.{k}.pressure", *core.PRESSURES)
        if reading.pressure.uncertainty is None:
            desk.assume("Vacuum readings without uncertainty: scatter of 1 % and 1 micron from one to the next.")
            pressure = Measured(pressure.value, core.default_scatter(pressure.value))
        found.append(decay_fit.DecayReading(time, pressure))
    return tuple(found)


def _decay_result(desk: Desk, found: core.DecayVerdict) -> DecayResult:
    desk.cite("curve-shape-statistics", "vacuum-trade-rule", core.data()["trivial_rise"]["source"])
    desk.cite("iapws-saturation", "iapws-sublimation")
    if found.earlier is not None:
        desk.cite(core.data()["same_slope"]["source"])
    fit, high = found.fit, found.fit.plateau_high
    slope = Measured(fit.slope.value * HOUR, fit.slope.uncertainty * HOUR)
    return DecayResult(
        verdict=found.verdict,
        reasons=list(found.reasons),
        rise=found.rise,
        shapes=[
            ShapeResult(shape=f.shape, chi_square=f.chi_square, akaike=f.criterion, weight=f.weight) for f in fit.fits
        ],
        rise_per_hour=desk.show(Vacuum, slope),
        plateau=desk.show_optional(Vacuum, fit.plateau),
        plateau_low=desk.show_optional(Vacuum, fit.plateau_low),
        plateau_high=None if math.isinf(high) else desk.show(Vacuum, high),
        water_pressure=desk.show(Vacuum, found.water),
        water_boils=found.water_boils,
        time_to_water_pressure=desk.show_optional(Time, found.time_to_water),
        reached=_vacuum(desk, found.reached),
        after_hold=_vacuum(desk, found.after_hold),
        hold=TimeHeld(
            held=desk.show(Time, found.hold.value),
            limit=quantity_limit(desk, found.hold.limit, Time),
            verdict=found.hold.standing,
        ),
        cold_spot=ColdSpot(
            limit=quantity_limit(desk, found.coldest.limit, Temperature), verdict=found.coldest.standing
        ),
    )


def _vacuum(desk: Desk, held: core.Held) -> VacuumHeld:
    limit = quantity_limit(desk, held.limit, Vacuum)
    return VacuumHeld(pressure=desk.show(Vacuum, held.value), limit=limit, verdict=held.standing)


def _sequence(desk: Desk, body: DilutionFields) -> dilution_core.Sequence:
    if body.start is None:
        desk.assume("Air before the first pull: at the air pressure of the site.")
        start = Measured(desk.air_pressure())
    else:
        start = desk.read(body.start, "start", *dilution_core.PRESSURES)
    pulls = tuple(desk.read(p, f"pulls.{k}", *dilution_core.PRESSURES) for k, p in enumerate(body.pulls))
    breaks = tuple(desk.read(p, f"breaks.{k}", *dilution_core.PRESSURES) for k, p in enumerate(body.breaks))
    standing = desk.read_optional(body.standing, "standing", *dilution_core.STANDING_PRESSURES)
    return dilution_core.Sequence(start, pulls, breaks, body.break_gas, standing)


def _dilution_result(desk: Desk, found: dilution_core.Dilution) -> DilutionResult:
    desk.cite("dilution-arithmetic")
    desk.warn("break-with-dry-gas")
    desk.assume("Liquid water and ice do not dilute: they have to boil. The arithmetic is for gas.")
    return DilutionResult(
        air_left=list(found.air_left),
        air_pressure=desk.show(Vacuum, found.air_pressure),
        noncondensable_pressure=desk.show(Vacuum, found.noncondensable_pressure),
        single_pull=desk.show(Vacuum, found.single_pull),
        vapour_fraction=Ratio.of_optional(found.vapour_fraction),
        limit=number_limit(desk, found.limit),
        verdict=found.standing,
    )
