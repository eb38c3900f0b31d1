"""POST /v1/evacuation."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.api.context import RequestContext
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.rulings import si
from witnessmark.api.schemas.evacuation import (
    DecayFields,
    DecayReading,
    DecayResult,
    DilutionFields,
    DilutionResult,
    EvacuationAnswer,
    EvacuationRequest,
    EvacuationResult,
)
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import decay_fit
from witnessmark.calculations.tightness import dilution as dilution_core
from witnessmark.calculations.tightness import evacuation as core
from witnessmark.calculations.tightness.decay_advice import what_to_do
from witnessmark.calculations.tightness.evacuation_table import TABLE
from witnessmark.calculations.tightness.vacuum_levels import MICRON, vacuum_levels
from witnessmark.calculations.tightness.water import COLDEST, HOTTEST
from witnessmark.errors import located

router = version_one("restart")
VOLUME_NEEDED = (
    "Volume needed: this climb is an allowed leak in a small circuit and none in a large one. Give the volume."
)


@calculation(router, "/evacuation", "Vacuum decay: tight, moisture or leak; dilution by repeated evacuation")
def evacuation(body: EvacuationRequest) -> EvacuationAnswer:
    """Judge the rise with the pump shut off by its shape and by what water can reach at the coldest spot.

    A straight climb far below that pressure can be a leak or moisture; the answer then says what would decide.
    """
    context = RequestContext.of(body)
    context.warn("licensed", "pull-both-sides", "no-vacuum-running")
    decay = dilution = None
    if body.decay is not None:
        with located("decay"):
            decay = _decay(context, body.decay, body.refrigerant)
    if body.dilution is not None:
        with located("dilution"):
            dilution = _dilution(context, body.dilution, body.refrigerant)
    return EvacuationAnswer(result=EvacuationResult(decay=decay, dilution=dilution), **context.notes())


def read_decay(context: RequestContext, body: DecayFields, refrigerant: str | None) -> core.DecayTest:
    """The decay test in SI, of a circuit of this refrigerant."""
    context.warn("refrigerant-in-oil")
    step = si(body.gauge_step, "gauge_step", core.GAUGE_STEPS)
    gauge, unseen = TABLE().gauge, TABLE().unseen
    if body.gauge_accuracy is None:
        context.assume(f"Vacuum gauge: within {gauge.of_reading:.0%} of reading, the same for all its readings.")
    if body.gauge_step is None:
        context.assume("Vacuum gauge: steps of 1 micron. A coarser display hides more: then give its step.")
    held = body.readings[-1].time.to_si().value - body.readings[0].time.to_si().value
    context.assume(
        f"The gas warms or cools by {unseen.drift(held):.2g} K at most during the test; the coldest spot is told to "
        f"within {unseen.coldest_spot:g} K."
    )
    context.cite(gauge.source, unseen.source)
    own = bool(vacuum_levels(body.oil, body.situation, refrigerant).refrigerants)
    if own:
        context.assume(
            f"{refrigerant}: water mixes with it and goes on to the purger, so that the vacuum of halocarbons is not "
            "asked; purge air, and find water by a sample of the liquid."
        )
    elif body.oil is None:
        context.assume("Oil: not given; the vacuum that POE asks for counts, which is the deepest.")
    if body.volume is None:
        context.assume("Volume: not given; what the pressure may climb in an hour counts, not what leaks in.")
    return core.DecayTest(
        readings=_readings(context, body.readings, "readings", step),
        coldest=context.read(body.coldest, "coldest", COLDEST, HOTTEST, "pipe-thermometer"),
        situation=body.situation,
        oil=body.oil,
        refrigerant=refrigerant,
        volume=si(body.volume, "volume", core.VOLUMES),
        earlier=_readings(context, body.earlier or (), "earlier", step),
        gauge_accuracy=body.gauge_accuracy,
        gauge_step=step,
        maker_vacuum=si(body.maker_vacuum, "maker_vacuum", core.PRESSURES),
        maker_after_hold=si(body.maker_after_hold, "maker_after_hold", core.PRESSURES),
        maker_hold=si(body.maker_hold, "maker_hold", core.MAKER_HOLDS),
        maker_document=body.maker_document,
    )


def _readings(
    context: RequestContext, readings: Sequence[DecayReading], field: str, step: float | None
) -> tuple[decay_fit.DecayReading, ...]:
    return tuple(_reading(context, reading, f"{field}.{k}", step) for k, reading in enumerate(readings))


def _reading(context: RequestContext, reading: DecayReading, field: str, step: float | None) -> decay_fit.DecayReading:
    time = context.read(reading.time, f"{field}.time", 0.0, core.LONGEST).value
    pressure = context.read(reading.pressure, f"{field}.pressure", *core.PRESSURES)
    if reading.pressure.uncertainty is None:
        context.assume("Vacuum readings without uncertainty: scatter of 1 % and one step from one to the next.")
        pressure = Measured(pressure.value, core.default_scatter(pressure.value, step))
    return decay_fit.DecayReading(time, pressure)


def _decay(context: RequestContext, body: DecayFields, refrigerant: str | None) -> DecayResult:
    verdict, table = core.decay(read_decay(context, body, refrigerant)), TABLE()
    context.cite("curve-shape-statistics", "vacuum-trade-rule")
    context.cite("iapws-saturation", "iapws-sublimation")
    if verdict.volume_needed:
        context.cite(table.largest_volume.source)
        context.assume(VOLUME_NEEDED)
    if verdict.verdict == "cannot tell" and verdict.by_rise == "tight and dry":
        context.assume(
            "The allowed leak of this volume lifts the pressure by less than these readings show; standing tests as "
            "published, which know no volume, would call this climb tight."
        )
    for advice in what_to_do(verdict):
        context.assume(advice)
    if verdict.earlier is not None:
        context.cite(table.same_slope.source)
    return DecayResult.model_validate(verdict, context=context)


def _dilution(context: RequestContext, body: DilutionFields, refrigerant: str | None) -> DilutionResult:
    sequence = _sequence(context, body)
    result = dilution_core.dilution(sequence)
    context.cite("dilution-arithmetic")
    context.warn("break-with-dry-gas")
    context.assume("Liquid water and ice do not dilute: they have to boil. The arithmetic is for gas.")
    asked = vacuum_levels(refrigerant=refrigerant).after_hold.rule()
    dry, deepest = asked.value, min(pull.value for pull in sequence.pulls)
    if deepest > dry:
        context.assume(
            f"Not dry by this: no pull was as deep as {dry / MICRON:.0f} micron, which a dry circuit holds. It is "
            "about air alone."
        )
    return DilutionResult.model_validate(result, context=context)


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
