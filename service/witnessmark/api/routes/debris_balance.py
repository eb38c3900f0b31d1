"""POST /v1/debris-balance."""

from __future__ import annotations

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Density, Length, Mass, Velocity
from witnessmark.api.routes.cleanup_reading import SUPERHEATS, TEMPERATURES
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import debris_balance as wire
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup import debris_balance as core
from witnessmark.cleanup.lodging import Passage, SizeClass
from witnessmark.cleanup.tables import table
from witnessmark.cleanup.turnover import FLOWS

router = version_one("cleanup")
SCALE = "fragment-scale"
NOMINAL = (1e-6, 1000.0)
WEIGHED = (0.0, 1000.0)
SIZES = (1e-6, 1.0)
BORES = (1e-5, 5.0)


@calculation(
    router, "/debris-balance", "Fragments recovered against the parts that broke, and where the rest can lodge"
)
async def balance_debris(body: wire.DebrisBalanceRequest) -> wire.DebrisBalanceAnswer:
    """Balance masses by material with their interval, then follow the missing sizes round the circuit.

    Says plainly whether fragments are, or may still be, in the circuit; weights can never prove that none is.
    """
    context = RequestContext.of(body)
    found = core.balance(_case(context, body))
    for text in found.assumptions:
        context.assume(text)
    context.warn(*found.cautions)
    context.cite(*found.sources)
    return wire.DebrisBalanceAnswer(result=_result(context, found), **context.notes())


def _case(context: RequestContext, body: wire.DebrisBalanceRequest) -> core.BalanceCase:
    return core.BalanceCase(
        parts=tuple(_part(context, f"parts.{n}", part) for n, part in enumerate(body.parts)),
        fragments=tuple(_fragment(context, f"fragments.{n}", one) for n, one in enumerate(body.fragments)),
        circuit=None if body.circuit is None else _circuit(context, body.circuit),
    )


def _part(context: RequestContext, at: str, given: wire.BrokenPart) -> core.BrokenPart:
    nominal = context.read(given.nominal_mass, f"{at}.nominal_mass", *NOMINAL)
    if given.nominal_mass.uncertainty is None:
        share = float(table("debris")["defaults"]["nominal_mass_share"])
        nominal = Measured(nominal.value, share * nominal.value)
        context.assume(f"{at}.nominal_mass: standard uncertainty {100 * share:.3g} %.")
    remains = context.read_optional(given.remains, f"{at}.remains", *WEIGHED, instrument=SCALE)
    return core.BrokenPart(given.name, nominal, given.material, remains)


def _fragment(context: RequestContext, at: str, given: wire.RecoveredFragment) -> core.Fragment:
    return core.Fragment(
        mass=context.read(given.mass, f"{at}.mass", *WEIGHED, instrument=SCALE),
        material=given.material,
        count=given.count,
        largest=_value(context.read_optional(given.largest, f"{at}.largest", *SIZES)),
        smallest=_value(context.read_optional(given.smallest, f"{at}.smallest", *SIZES)),
    )


def _value(reading: Measured | None) -> float | None:
    return None if reading is None else reading.value


def _circuit(context: RequestContext, given: wire.DebrisCircuitGiven) -> core.DebrisCircuit:
    evaporating = context.read(given.evaporating_temperature, "circuit.evaporating_temperature", *TEMPERATURES)
    discharge = context.read_optional(given.discharge_temperature, "circuit.discharge_temperature", *TEMPERATURES)
    liquid = context.read_optional(given.liquid_temperature, "circuit.liquid_temperature", *TEMPERATURES)
    superheat = context.read_optional(given.suction_superheat, "circuit.suction_superheat", *SUPERHEATS)
    return core.DebrisCircuit(
        refrigerant=given.refrigerant,
        evaporating=evaporating.value,
        condensing=context.read(given.condensing_temperature, "circuit.condensing_temperature", *TEMPERATURES).value,
        plant=given.plant,
        mass_flow=_value(context.read_optional(given.mass_flow, "circuit.mass_flow", *FLOWS)),
        discharge=_value(discharge),
        liquid=_value(liquid),
        superheat=_value(superheat),
        places=_places(context, given.places),
    )


def _places(
    context: RequestContext, given: list[wire.PlaceGiven] | None
) -> tuple[tuple[str, float | None, float | None], ...] | None:
    if given is None:
        return None
    found = []
    for n, one in enumerate(given):
        bore = context.read_optional(one.bore, f"circuit.places.{n}.bore", *BORES)
        opening = context.read_optional(one.opening, f"circuit.places.{n}.opening", *BORES)
        found.append((one.id, _value(bore), _value(opening)))
    return tuple(found)


def _result(context: RequestContext, found: core.DebrisBalance) -> wire.DebrisBalanceResult:
    return wire.DebrisBalanceResult(
        verdict=found.verdict,
        statement=found.statement,
        unaccounted=context.show(Mass, found.unaccounted, _mass_unit(context)),
        low=context.show(Mass, found.low, _mass_unit(context)),
        high=context.show(Mass, found.high, _mass_unit(context)),
        hidden_size=context.show(Length, found.hidden_size, _size_unit(context)),
        materials=[_material(context, one) for one in found.materials],
        sizes=[_size(context, one) for one in found.sizes],
        places=[_place(context, one) for one in found.places],
    )


def _mass_unit(context: RequestContext) -> str:
    return "g" if context.system == "SI" else "oz"


def _size_unit(context: RequestContext) -> str:
    return "mm" if context.system == "SI" else "in"


def _material(context: RequestContext, found: core.MaterialBalance) -> wire.MaterialResult:
    unit = _mass_unit(context)
    return wire.MaterialResult(
        material=found.material,
        nominal=context.show(Mass, found.nominal, unit),
        recovered=context.show(Mass, found.recovered, unit),
        unaccounted=context.show(Mass, found.unaccounted, unit),
        low=context.show(Mass, found.low, unit),
        high=context.show(Mass, found.high, unit),
        verdict=found.verdict,
    )


def _size(context: RequestContext, found: SizeClass) -> wire.SizeResult:
    unit = _size_unit(context)
    return wire.SizeResult(
        diameter=context.show(Length, found.diameter, unit),
        smallest=context.show(Length, found.smallest, unit),
        largest=context.show(Length, found.largest, unit),
        density=context.show(Density, found.density),
        origin=found.origin,
    )


def _place(context: RequestContext, found: core.RankedPlace) -> wire.PlaceResult:
    unit = _size_unit(context)
    context.cite(found.place.source)
    return wire.PlaceResult(
        place=found.place.id,
        name=found.place.name,
        share=min(max(float(f"{found.share:.6g}"), 0.0), 1.0),
        bore=context.show_optional(Length, found.place.bore, unit),
        opening=context.show_optional(Length, found.place.opening, unit),
        look=found.place.look,
        source=found.place.source,
        passages=[_passage(context, n, one) for n, one in enumerate(found.passages)],
    )


def _passage(context: RequestContext, size: int, found: Passage) -> wire.PassageResult:
    return wire.PassageResult(
        size=size,
        held=found.held,
        velocity=context.show_optional(Velocity, found.velocity),
        carry_low=context.show_optional(Velocity, found.carry_low),
        carry_high=context.show_optional(Velocity, found.carry_high),
    )
