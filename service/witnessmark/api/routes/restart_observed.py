"""From a restart request: single readings, tried switches, and what of it cannot be right together."""

from __future__ import annotations

from collections.abc import Iterator

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.restart_run import PRESSURES, least_plate
from witnessmark.api.rulings import si
from witnessmark.api.schemas.restart import RestartRequest, SwitchTest, WeighedCharge
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import evacuation
from witnessmark.errors import located
from witnessmark.refrigerants import catalogue
from witnessmark.refrigerants.unserved import Bare, with_properties
from witnessmark.restart import cutouts, evidence, machine_facts, plausible, pressure_bounds
from witnessmark.restart.context import Machine
from witnessmark.restart.design_pressure import design_pressure
from witnessmark.restart.evidence import Evidence
from witnessmark.restart.run_limits import hottest_pressure

MASSES = (1e-4, 1e6)
SMALL = 1.0
"""Below so many kg a charge is weighed on a scale of its own."""
HEATER = (0.0, 3.2e7)


def impossible(
    context: RequestContext, body: RestartRequest, machine: Machine, claims: frozenset[str]
) -> Iterator[tuple[str, Evidence]]:
    """What of the request cannot be right together, named for the check that it would open.

    claims: the checks that are said to be passed.
    """
    refrigerant, samples = body.machine.refrigerant, [s for s in body.tests.oil_samples if s.sample != "old-compressor"]
    for oil in dict.fromkeys([*([body.machine.oil] if body.machine.oil else []), *(s.oil for s in samples)]):
        odd = plausible.of_oil(refrigerant, oil, claimed="oil-charge" in claims)
        if odd is not None:
            context.cite(plausible.TABLE().oils.source)
            yield "oil-charge", odd
    yield from (("sump-warm", piece) for piece in _heater(context, body, machine, claims))
    full = _overfull(context, body)
    if full is not None:
        context.cite(plausible.TABLE().charge.source)
        yield "charge", full
    yield from (("charge", piece) for piece in machine_facts.of_charge(machine))
    yield from (("charge", piece) for piece in _contents(body))
    yield from (("liquid-drier", piece) for piece in machine_facts.of_drier(machine, claimed="liquid-drier" in claims))
    yield from (
        ("suction-filter", piece) for piece in machine_facts.of_core(machine, claimed="suction-filter" in claims)
    )
    yield from (("protections", piece) for piece in machine_facts.of_oil_safety(machine))
    yield from (("circuit-acid", piece) for piece in _other_oil(body))


def _heater(
    context: RequestContext, body: RestartRequest, machine: Machine, claims: frozenset[str]
) -> Iterator[Evidence]:
    """What speaks against the heater, the shell, or the reason why there is no heater."""
    heater = context.read_optional(body.measured.heater_on, "measured.heater_on", *HEATER)
    warmed = None if heater is None else plausible.of_heater(machine, heater.value)
    if warmed is not None:
        yield warmed
    yield from machine_facts.of_shell(machine)
    documented = bool(body.maker_limits.document)
    yield from machine_facts.of_waiver(machine, claimed="sump-warm" in claims, documented=documented)


def _contents(body: RestartRequest) -> Iterator[Evidence]:
    """What is not said of what was filled in, and a mixture that no nameplate names."""
    charge, asked = body.measured.charge, body.machine.refrigerant
    if charge is None:
        return
    yield from machine_facts.of_mixture(asked, documented=bool(body.maker_limits.document))
    if _is_zeotropic(asked) and charge.taken_as is None:
        yield Evidence("refrigerant filled in", "missing", "not said: whether the blend left the cylinder as liquid")


def _other_oil(body: RestartRequest) -> Iterator[Evidence]:
    """A sample of the circuit in another oil than the machine's: of another machine, or a kit for another oil."""
    new = next((s.oil for s in body.tests.oil_samples if s.sample == "new-charge"), None)
    asked = body.machine.oil or new
    for sample in body.tests.oil_samples:
        if sample.sample == "circuit" and asked is not None and sample.oil != asked:
            detail = f"a sample of {sample.oil} from a circuit with {asked}: another machine, or a kit for another oil"
            yield Evidence("oil sample: circuit", "conflicting", detail)


def _overfull(context: RequestContext, body: RestartRequest) -> Evidence | None:
    charge, decay = body.measured.charge, body.tests.evacuation
    volume = None if decay is None else si(decay.volume, "tests.evacuation.volume", evacuation.VOLUMES)
    if charge is None or volume is None:
        return None
    weighed = read_weighed(context, charge).value
    refrigerant = with_properties(charge.refrigerant or body.machine.refrigerant)
    return None if refrigerant is None else plausible.of_charge(refrigerant, weighed, volume)


def observed(context: RequestContext, body: RestartRequest, machine: Machine) -> Iterator[tuple[str, Evidence]]:
    """What single readings say beside their limits."""
    measured, asked = body.measured, body.machine.refrigerant
    if measured.oil_level is not None:
        yield "oil-charge", evidence.from_oil_level(measured.oil_level)
    if measured.charge is not None:
        charged = measured.charge.refrigerant or asked
        separates = _is_zeotropic(asked) and measured.charge.taken_as == "vapour"
        for piece in evidence.from_charge(charged, asked, separates=separates):
            yield "charge", piece
    yield from _switches(context, body, machine)


def _switches(context: RequestContext, body: RestartRequest, machine: Machine) -> Iterator[tuple[str, Evidence]]:
    """Tried pressure switches: by themselves, by what the plant was proved for, by what they open at on any plant."""
    plate, ceiling = least_plate(context, body, "high"), _ceiling(context, body, machine)
    switches: dict[evidence.Side, SwitchTest | None] = {
        "high": body.measured.high_pressure_switch,
        "low": body.measured.low_pressure_switch,
    }
    for side, switch in switches.items():
        if switch is not None:
            cutout = _cutout(context, side, switch)
            yield "protections", cutouts.from_cutout(cutout, plate)
            yield from (("protections", piece) for piece in pressure_bounds.of_ceiling(cutout, ceiling))
            odd = plausible.of_switch(machine, cutout)
            if odd is not None:
                context.cite(plausible.TABLE().switches.source)
                yield "protections", odd


def _ceiling(context: RequestContext, body: RestartRequest, machine: Machine) -> pressure_bounds.Ceiling:
    """The highest that the high side stood at, and its derived design pressure where no nameplate was given."""
    tests = [t for t in body.tests.pressure_tests if t.side != "low"]
    stood = [context.read(t.stages[-1].start_pressure, "tests.pressure_tests", *PRESSURES).value for t in tests]
    if pressure_bounds.low_pressure_chiller(machine.compressor, machine.refrigerant):
        return pressure_bounds.Ceiling(pressure_bounds.TABLE().chiller.disc + context.air_pressure())
    named = any(t.design_pressure is not None for t in tests)
    highest = max(stood, default=None)
    if named or machine.refrigerant is None:
        return pressure_bounds.Ceiling(highest)
    usual, hottest = design_pressure(machine.refrigerant, "high"), hottest_pressure(machine.refrigerant)
    return pressure_bounds.Ceiling(highest, None if usual is None or hottest is None else (usual, hottest))


def read_weighed(context: RequestContext, charge: WeighedCharge) -> Measured:
    """The charge weighed in, kg; hydrocarbon cabinets are not filled on a scale for cylinders."""
    scale = "scale" if charge.weighed.to_si().value >= SMALL else "small-charge-scale"
    return context.read(charge.weighed, "measured.charge.weighed", *MASSES, scale)


def _is_zeotropic(designation: str) -> bool:
    """Whether its vapour has another composition; of one without properties by its number (400 series)."""
    if isinstance(designation, Bare):
        return designation.startswith("R-4")
    return catalogue.get(designation).kind == "zeotropic"


def _cutout(context: RequestContext, side: evidence.Side, switch: SwitchTest) -> cutouts.Cutout:
    with located(f"measured.{side}_pressure_switch"):
        opened = context.read_optional(switch.opened_at, "opened_at", *PRESSURES)
        setting = context.read(switch.setting, "setting", *PRESSURES).value
    return cutouts.Cutout(side, setting, None if opened is None else opened.value)
