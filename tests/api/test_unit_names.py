"""Which unit may be meant, and that the caller's own word is never repeated."""

from importlib.resources import files
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api import unit_names as unit_table
from witnessmark.api.unit_names import folded, meant, other_names
from witnessmark.api.units import dimensions


def accepted(dimension: str) -> tuple[str, ...]:
    return tuple(dimensions()[dimension].units)


@pytest.mark.parametrize(
    ("dimension", "name", "units"),
    [
        ("pressure", "psi", ("psig", "psia")),
        ("pressure", "PSIG", ("psig",)),
        ("pressure", "inHg", ()),
        ("pressure", "inHgA", ()),
        ("pressure", "inHg vacuum", ("inHg_vac",)),
        ("air_pressure", "inHg_vac", ()),
        ("air_pressure", "inHgA", ("inHg",)),
        ("pressure", "ata", ("kgf/cm2a",)),
        ("pressure", "at", ("kgf/cm2g", "kgf/cm2a")),
        ("pressure", "kp/cm2", ("kgf/cm2g", "kgf/cm2a")),
        ("temperature_difference", "delta_degC", ("K",)),
        ("temperature_difference", "deltaC", ("K",)),
        ("temperature_difference", "Δ°C", ("K",)),
        ("temperature_difference", "ΔK", ("K",)),
        ("temperature_difference", "Cel", ("K",)),
        ("temperature_difference", "delta_degF", ("delta_degF",)),
        ("temperature", "Cel", ("degC",)),
        ("temperature", "℃", ("degC",)),
        ("temperature", "R", ()),
        ("air_pressure", "millibar", ("mbar",)),
        ("pressure", "bar (g)", ("barg",)),
        ("pressure", "pisg", ()),
        ("pressure", "inHg_vaq", ("inHg_vac",)),
        ("pressure_difference", "psig", ("psi",)),
        ("vacuum", "microns", ("micron",)),
        ("vacuum", "mircon", ("micron",)),
        ("temperature", "F", ("degF",)),
        ("temperature", "°C", ("degC",)),
        ("temperature_difference", "C", ("K",)),
        ("temperature_difference", "degC", ("K",)),
        ("temperature_difference", "degF", ("delta_degF",)),
        ("temperature_difference", "F", ("delta_degF",)),
        ("resistance", "mohm", ("milliohm", "megohm")),
        ("resistance", "megohms", ("megohm",)),
        ("mass_flow", "lbs/hr", ("lb/h",)),
        ("velocity", "FPM", ("ft/min",)),
        ("temperature", "", ()),
        ("temperature", "furlong per fortnight", ()),
        ("temperature", "x" * 100_000, ()),
    ],
)
def test_what_may_be_meant(dimension: str, name: str, units: tuple[str, ...]) -> None:
    assert meant(name, accepted(dimension)) == units


@pytest.mark.parametrize("dimension", ["pressure", "air_pressure", "pressure_difference", "temperature"])
def test_no_slip_makes_another_scale_of_a_unit(dimension: str) -> None:
    """A letter more at the end, or another one, that says gauge, absolute, Celsius or Fahrenheit is heard."""
    names = accepted(dimension)
    wrong = {other for unit in names for letter in "agcf" for other in (unit[:-1] + letter, unit + letter)}
    for name in sorted(wrong - set(names)):
        if folded(name) not in other_names():
            assert all(
                folded(unit)[-1] == folded(name)[-1] or folded(unit)[-1] not in "acfgk" for unit in meant(name, names)
            )


def test_every_other_name_can_occur() -> None:
    """There is a dimension with the unit that does not accept the name itself, whatever its capitals."""
    for name, units in other_names().items():
        for unit in units:
            homes = [d for d in dimensions().values() if unit in d.units]
            assert any(name not in map(folded, home.units) for home in homes), (name, unit)


def test_a_name_for_an_unknown_unit_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    other_names.cache_clear()
    monkeypatch.setattr(unit_table, "dimensions", dict)
    with pytest.raises(ValueError, match="not in the unit table"):
        other_names()
    other_names.cache_clear()


def test_the_list_is_data_of_the_package() -> None:
    assert files("witnessmark.api").joinpath("unit_names.toml").is_file()


def problem(client: TestClient, **change: Any) -> dict[str, Any]:
    body = {
        "refrigerant": "R-410A",
        "pressure": {"value": 118, "unit": "psig"},
        "temperature": {"value": 52, "unit": "degF"},
    }
    answer = client.post("/v1/superheat", json=body | change)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    found: dict[str, Any] = error
    return found


def test_the_problem_lists_what_is_accepted_and_points_to_the_nearest(client: TestClient) -> None:
    error = problem(client, temperature={"value": 52, "unit": "Fahrenheit"})
    assert error["pointer"] == "#/temperature/unit"
    assert error["detail"] == "should be 'degC', 'degF' or 'K'; perhaps degF is meant"
    assert "perhaps psig or psia is meant" in problem(client, pressure={"value": 118, "unit": "psi"})["detail"]


@pytest.mark.parametrize("unit", ["parsec", 7, None, ["psi"]])
def test_a_unit_that_is_near_none_gets_the_list_alone(client: TestClient, unit: Any) -> None:
    detail = problem(client, temperature={"value": 52, "unit": unit})["detail"]
    assert detail == "should be 'degC', 'degF' or 'K'"


def test_other_closed_choices_are_left_alone(client: TestClient) -> None:
    assert "perhaps" not in problem(client, report_in="metric")["detail"]
