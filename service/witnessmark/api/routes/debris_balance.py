"""POST /v1/debris-balance."""

from __future__ import annotations

from witnessmark.api.desk import Desk
from witnessmark.api.quantities import Density, Length, Mass, Velocity
from witnessmark.api.routes.cleanup_reading import SUPERHEATS, TEMPERATURES
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import debris_balance as wire
from witnessmark.calculations.uncertainty import Measured
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
    desk = Desk.of(body)
    found = core.balance(_case(desk, body))
    for text in found.assumptions:
        desk.assume(text)
    desk.warn(*found.cautions)
    desk.cite(*found.sources)
    return wire.DebrisBalanceAnswer(result=_result(desk, found), **desk.notes())


def _case(desk: Desk, body: wire.DebrisBalanceRequest) -> core.BalanceCase:
    return core.BalanceCase(
        parts=tuple(_part(desk, f"parts.{n}", part) for n, part in enumerate(body.parts)),
        fragments=tuple(_fragment(desk, f"fragments.{n}", one) for n, one in enumerate(body.fragments)),
        circuit=None if body.circuit is None else _circuit(desk, body.circuit),
    )


def _part(desk: Desk, at: str, given: wire.BrokenPart) -> core.BrokenPart:
    nominal = desk.read(given.nominal_mass, f"{at}.nominal_mass", *NOMINAL)
    if given.nominal_mass.uncertainty is None:
        share = float(table("debris")["defaults"]["nominal_mass_share"])
        nominal = Measured(nominal.value, share * nominal.value)
        desk.assume(f"{at}.nominal_mass: standard uncertainty {100 * share:.3g} %.")
    remains = desk.read_optional(given.remains, f"{at}.remains", *WEIGHED, instrument=SCALE)
    return core.BrokenPart(given.name, nominal, given.material, remains)


def _fragment(desk: Desk, at: str, given: wire.RecoveredFragment) -> core.Fragment:
    return core.Fragment(
        mass=desk.read(given.mass, f"{at}.mass", *WEIGHED, instrument=SCALE),
        material=given.material,
        count=given.count,
        largest=_value(desk.read_optional(given.largest, f"{at}.largest", *SIZES)),
        smallest=_value(desk.read_optional(given.smallest, f"{at}.smallest", *SIZES)),
    )


def _value(reading: Measured | None) -> float | None:
    return None if reading is None else reading.value


def _circuit(desk: Desk, given: wire.DebrisCircuitGiven) -> core.DebrisCircuit:
    evaporating = desk.read(given.evaporating_temperature, "circuit.evaporating_temperature", *TEMPERATURES)
    discharge = desk.read_optional(given.discharge_temperature, "circuit.discharge_temperature", *TEMPERATURES)
    liquid = desk.read_optional(given.liquid_temperature, "circuit.liquid_temperature", *TEMPERATURES)
    superheat = desk.read_optional(given.suction_superheat, "circuit.suction_superheat", *SUPERHEATS)
    return core.DebrisCircuit(
        refrigerant=given.refrigerant,
        evaporating=evaporating.value,
        condensing=desk.read(given.condensing_temperature, "circuit.condensing_temperature", *TEMPERATURES).value,
        plant=given.plant,
        mass_flow=_value(desk.read_optional(given.mass_flow, "circuit.mass_flow", *FLOWS)),
        discharge=_value(discharge),
        liquid=_value(liquid),
        superheat=_value(superheat),
        places=_places(desk, given.places),
    )


def _places(
    desk: Desk, given: list[wire.PlaceGiven] | None
) -> tuple[tuple[str, float | None, float | None], ...] | None:
    if given is None:
        return None
    found = []
    for n, one in enumerate(given):
        bore = desk.read_optional(one.bore, f"circuit.places.{n}.bore", *BORES)
        opening = desk.read_optional(one.opening, f"circuit.places.{n}.opening", *BORES)
        found.append((one.id, _value(bore), _value(opening)))
    return tuple(found)


def _result(desk: Desk, found: core.DebrisBalance) -> wire.DebrisBalanceResult:
    return wire.DebrisBalanceResult(
        verdict=found.verdict,
        statement=found.statement,
        unaccounted=desk.show(Mass, found.unaccounted, _mass_unit(desk)),
        low=desk.show(Mass, found.low, _mass_unit(desk)),
        high=desk.show(Mass, found.high, _mass_unit(desk)),
        hidden_size=desk.show(Length, found.hidden_size, _size_unit(desk)),
        materials=[_material(desk, one) for one in found.materials],
        sizes=[_size(desk, one) for one in found.sizes],
        places=[_place(desk, one) for one in found.places],
    )


def _mass_unit(desk: Desk) -> str:
    return "g" if desk.system == "SI" else "oz"


def _size_unit(desk: Desk) -> str:
    return "mm" if desk.system == "SI" else "in"


def _material(desk: Desk, found: core.MaterialBalance) -> wire.MaterialResult:
    unit = _mass_unit(desk)
    return wire.MaterialResult(
        material=found.material,
        nominal=desk.show(Mass, found.nominal, unit),
        recovered=desk.show(Mass, found.recovered, unit),
        unaccounted=desk.show(Mass, found.unaccounted, unit),
        low=desk.show(Mass, found.low, unit),
        high=desk.show(Mass, found.high, unit),
        verdict=found.verdict,
    )


def _size(desk: Desk, found: SizeClass) -> wire.SizeResult:
    unit = _size_unit(desk)
    return wire.SizeResult(
        diameter=desk.show(Length, found.diameter, unit),
        smallest=desk.show(Length, found.smallest, unit),
        largest=desk.show(Length, found.largest, unit),
        density=desk.show(Density, found.density),
        origin=found.origin,
    )


def _place(desk: Desk, found: core.RankedPlace) -> wire.PlaceResult:
    unit = _size_unit(desk)
    desk.cite(found.place.source)
    return wire.PlaceResult(
        place=found.place.id,
        name=found.place.name,
        share=min(max(float(f"{found.share:.6g}"), 0.0), 1.0),
        bore=desk.show_optional(Length, found.place.bore, unit),
        opening=desk.show_optional(Length, found.place.opening, unit),
        look=found.place.look,
        source=found.place.source,
        passages=[_passage(desk, n, one) for n, one in enumerate(found.passages)],
    )


def _passage(desk: Desk, size: int, found: Passage) -> wire.PassageResult:
    return wire.PassageResult(
        size=size,
        held=found.held,
        velocity=desk.show_optional(Velocity, found.velocity),
        carry_low=desk.show_optional(Velocity, found.carry_low),
        carry_high=desk.show_optional(Velocity, found.carry_high),
    )
