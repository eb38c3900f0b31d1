"""The unit table against pint, a general-purpose unit library (test-only)."""

import pint
import pytest
from pydantic import ValidationError

from witnessmark.api.quantities import Pressure, Quantity
from witnessmark.api.units import Dimension, Unit, dimensions
from witnessmark.vocabulary import SystemOfUnits

REGISTRY: pint.UnitRegistry[float] = pint.UnitRegistry()
# Names of our units in pint; a gauge unit is its plain pressure unit. Conventional mmHg and inHg differ from the Torr.
NAMES = {
    "psig": "psi", "psia": "psi", "inHg_vac": "-inHg", "barg": "bar", "bara": "bar", "kPag": "kPa", "kPaa": "kPa",
    "MPag": "MPa", "MPaa": "MPa", "inH2O": "inH2O", "micron": "millimeter_Hg / 1000", "Torr": "torr",
    "inHg": "inHg", "mmHg": "mmHg", "hPa": "hectopascal", "mbar": "millibar",
    "mbarg": "millibar", "mbara": "millibar", "kgf/cm2g": "kgf / cm ** 2", "kgf/cm2a": "kgf / cm ** 2",
    "kilohm": "kiloohm", "megohm": "megaohm", "gigohm": "gigaohm",
    "fl_oz": "US_fluid_ounce", "ton": "12000 * Btu_it / hour", "rpm": "Hz / 60", "min": "minute", "d": "day",
    "um": "micrometer", "mL": "milliliter", "Btu/h": "Btu_it / hour", "Btu/lb": "Btu_it / pound",
    "Btu/(lb.degF)": "Btu_it / pound / delta_degF", "Btu/ft3": "Btu_it / foot ** 3",
    "J/(kg.K)": "J / kg / K", "kJ/(kg.K)": "kJ / kg / K", "%": "percent", "kg/kg": "", "mgKOH/g": "",
}  # fmt: skip
PAIRS = [(name, u) for name, d in dimensions().items() for u in d.units.values()]


def in_pint(name: str) -> str:
    if name in NAMES:
        return NAMES[name]
    return name.replace("3", " ** 3").replace("2", " ** 2") if "H2O" not in name else name


@pytest.mark.parametrize(("dimension", "ours"), PAIRS, ids=lambda x: getattr(x, "name", x))
def test_factor_agrees_with_pint(dimension: str, ours: Unit) -> None:
    if dimension in {"acid_number", "temperature"}:
        return  # acid number is defined by its own unit; temperatures have offsets and are checked below
    theirs = in_pint(ours.name)
    sign = -1 if theirs.startswith("-") else 1
    si = in_pint(dimensions()[dimension].si)
    factor = sign * (1 * REGISTRY.parse_expression(theirs.lstrip("-") or "1")).to(si or "").magnitude
    assert ours.factor == pytest.approx(factor, rel=1e-8)


@pytest.mark.parametrize("name", ["degC", "degF", "K"])
@pytest.mark.parametrize("value", [-40.0, 0.0, 32.0, 212.0])
def test_temperature_agrees_with_pint(name: str, value: float) -> None:
    theirs = REGISTRY.Quantity(value, name).to("K").magnitude
    assert dimensions()["temperature"].units[name].to_si(value) == pytest.approx(theirs, abs=1e-9)
    assert dimensions()["temperature"].units[name].from_si(theirs) == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize("kind", Quantity.__subclasses__(), ids=lambda k: k.__name__)
def test_units_of_each_quantity_are_a_closed_list_with_a_name(kind: type[Quantity]) -> None:
    schema = kind.model_json_schema()
    listed = schema["$defs"][f"{kind.__name__}Unit"]
    assert (listed.get("enum") or [listed["const"]]) == list(dimensions()[kind.dimension].units)
    with pytest.raises(ValidationError):
        kind.model_validate({"value": 1, "unit": "smoot"})


def test_every_dimension_has_a_quantity() -> None:
    assert {kind.dimension for kind in Quantity.__subclasses__()} == set(dimensions())


def test_answers_in_a_unit_that_does_not_exist_are_refused_when_the_table_is_loaded() -> None:
    row = {"label": "m", "factor": 1.0, "ucum": "m"}
    with pytest.raises(ValueError, match="unknown units: yd"):
        Dimension.model_validate({"si": "m", "show": {"SI": "m", "IP": "yd"}, "units": {"m": row}})


def test_no_two_units_of_a_quantity_differ_by_case_only() -> None:
    for name, dimension in dimensions().items():
        assert len({unit_name.casefold() for unit_name in dimension.units}) == len(dimension.units), name


def test_a_label_names_one_unit_and_a_unit_has_one_label() -> None:
    for name, dimension in dimensions().items():
        assert len({u.label for u in dimension.units.values()}) == len(dimension.units), name
    labels = {(name, u.label) for dimension in dimensions().values() for name, u in dimension.units.items()}
    assert len(labels) == len({name for name, _ in labels})


@pytest.mark.parametrize(("system", "unit"), [("SI", "kPaa"), ("IP", "psia"), ("bar", "bara")])
def test_pressures_are_shown_as_asked(system: SystemOfUnits, unit: str) -> None:
    assert dimensions()["pressure"].shown(system) == unit
    assert Pressure.of(2e5, system).unit == unit


def test_in_bar_the_rest_is_si() -> None:
    for dimension in dimensions().values():
        assert "bar" in dimension.shown("bar") or dimension.shown("bar") == dimension.shown("SI")
