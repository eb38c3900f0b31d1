"""POST /v1/evacuation."""

from __future__ import annotations

import math
from collections.abc import Sequence

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Temperature, Time, Vacuum
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import number_limit, quantity_limit, si
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
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import decay_fit
from witnessmark.calculations.tightness import dilution as dilution_core
from witnessmark.calculations.tightness import evacuation as core
from witnessmark.calculations.tightness.water import COLDEST, HOTTEST
from witnessmark.errors import located

router = version_one("restart")
HOUR = 3600.0


@calculation(router, "/evacuation", "Vacuum decay: tight, moisture or leak; dilution by repeated evacuation")
async def evacuation(body: EvacuationRequest) -> EvacuationAnswer:
    """Judge the rise with the pump shut off by its shape and by what water can reach at the coldest spot.

    A straight climb far below that pressure can be a leak or moisture; the answer then says what would decide.
    """
    context = RequestContext.of(body)
    context.warn("licensed", "pull-both-sides", "no-vacuum-running")
    decay = dilution = None
    if body.decay is not None:
        with located("decay"):
            decay = _decay_result(context, core.decay(read_decay(context, body.decay)))
    if body.dilution is not None:
        with located("dilution"):
            dilution = _dilution_result(context, dilution_core.dilution(_sequence(context, body.dilution)))
    return EvacuationAnswer(result=EvacuationResult(decay=decay, dilution=dilution), **context.notes())


def read_decay(context: RequestContext, body: DecayFields) -> core.DecayTest:
    """The decay test in SI."""
    context.warn("refrigerant-in-oil")
    if body.gauge_accuracy is None:
        context.cite(core.data()["gauge"]["source"])
        share = core.data()["gauge"]["of_reading"]
        context.assume(f"Vacuum gauge: {share:.0%} of reading as standard uncertainty common to all its readings.")
    return core.DecayTest(
        readings=_readings(context, body.readings, "readings"),
        coldest=context.read(body.coldest, "coldest", COLDEST, HOTTEST, "pipe-thermometer"),
        method=body.method,
        oil=body.oil,
        earlier=_readings(context, body.earlier or (), "earlier"),
        scale_uncertainty=body.gauge_accuracy,
        maker_vacuum=si(body.maker_vacuum, "maker_vacuum", core.PRESSURES),
        maker_after_hold=si(body.maker_after_hold, "maker_after_hold", core.PRESSURES),
        maker_hold=si(body.maker_hold, "maker_hold", core.MAKER_HOLDS),
    )


def _readings(context: RequestContext, given: Sequence[DecayReading], field: str) -> tuple[decay_fit.DecayReading, ...]:
    found = []
    for k, reading in enumerate(given):
        time = context.read(reading.time, f"{field}.{k}.time", 0.0, core.LONGEST).value
        pressure = context.read(reading.pressure, f"{field}.{k}.pressure", *core.PRESSURES)
        if reading.pressure.uncertainty is None:
            context.assume("Vacuum readings without uncertainty: scatter of 1 % and 1 micron from one to the next.")
            pressure = Measured(pressure.value, core.default_scatter(pressure.value))
        found.append(decay_fit.DecayReading(time, pressure))
    return tuple(found)


def _decay_result(context: RequestContext, found: core.DecayVerdict) -> DecayResult:
    context.cite("curve-shape-statistics", "vacuum-trade-rule", core.data()["trivial_rise"]["source"])
    context.cite("iapws-saturation", "iapws-sublimation")
    if found.earlier is not None:
        context.cite(core.data()["same_slope"]["source"])
    fit, high = found.fit, found.fit.plateau_high
    slope = Measured(fit.slope.value * HOUR, fit.slope.uncertainty * HOUR)
    return DecayResult(
        verdict=found.verdict,
        reasons=list(found.reasons),
        rise=found.rise,
        shapes=[
            ShapeResult(shape=f.shape, chi_square=f.chi_square, akaike=f.criterion, weight=f.weight) for f in fit.fits
        ],
        rise_per_hour=context.show(Vacuum, slope),
        plateau=context.show_optional(Vacuum, fit.plateau),
        plateau_low=context.show_optional(Vacuum, fit.plateau_low),
        plateau_high=None if math.isinf(high) else context.show(Vacuum, high),
        water_pressure=context.show(Vacuum, found.water),
        water_boils=found.water_boils,
        time_to_water_pressure=context.show_optional(Time, found.time_to_water),
        reached=_vacuum(context, found.reached),
        after_hold=_vacuum(context, found.after_hold),
        hold=TimeHeld(
            held=context.show(Time, found.hold.value),
            limit=quantity_limit(context, found.hold.limit, Time),
            verdict=found.hold.standing,
        ),
        cold_spot=ColdSpot(
            limit=quantity_limit(context, found.coldest.limit, Temperature), verdict=found.coldest.standing
        ),
    )


def _vacuum(context: RequestContext, held: core.Held) -> VacuumHeld:
    limit = quantity_limit(context, held.limit, Vacuum)
    return VacuumHeld(pressure=context.show(Vacuum, held.value), limit=limit, verdict=held.standing)


def _sequence(context: RequestContext, body: DilutionFields) -> dilution_core.Sequence:
    if body.start is None:
        context.assume("Air before the first pull: at the air pressure of the site.")
        start = Measured(context.air_pressure())
    else:
        start = context.read(body.start, "start", *dilution_core.PRESSURES)
    pulls = tuple(context.read(p, f"pulls.{k}", *dilution_core.PRESSURES) for k, p in enumerate(body.pulls))
    breaks = tuple(context.read(p, f"breaks.{k}", *dilution_core.PRESSURES) for k, p in enumerate(body.breaks))
    standing = context.read_optional(body.standing, "standing", *dilution_core.STANDING_PRESSURES)
    return dilution_core.Sequence(start, pulls, breaks, body.break_gas, standing)


def _dilution_result(context: RequestContext, found: dilution_core.Dilution) -> DilutionResult:
    context.cite("dilution-arithmetic")
    context.warn("break-with-dry-gas")
    context.assume("Liquid water and ice do not dilute: they have to boil. The arithmetic is for gas.")
    return DilutionResult(
        air_left=list(found.air_left),
        air_pressure=context.show(Vacuum, found.air_pressure),
        noncondensable_pressure=context.show(Vacuum, found.noncondensable_pressure),
        single_pull=context.show(Vacuum, found.single_pull),
        vapour_fraction=Ratio.of_optional(found.vapour_fraction),
        limit=number_limit(context, found.limit),
        verdict=found.standing,
    )
