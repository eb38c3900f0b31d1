from collections.abc import Callable
from typing import Any

import pytest

from witnessmark.casework.report import charts
from witnessmark.casework.report.material import Material
from witnessmark.casework.report.texts import catalogue

Made = Callable[..., Material]
TOLD = {"layer": "mode", "hypothesis": "slugging", "weights": [{"finding": "oil-burnt", "alone": -2.5}]}


def kpa(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "kPa"}


def log(*drops: float | None) -> dict[str, Any]:
    """A filter log with one reading an hour."""
    readings = [
        {
            "local": f"2026-05-20T{8 + k:02}:00:00+01:00",
            "full_flow_drop": None if drop is None else kpa(drop),
            "low": None,
            "high": kpa(drop + 1) if drop else None,
        }
        for k, drop in enumerate(drops)
    ]
    return {"filter_log": {"readings": readings, "working_limit": {"drop": kpa(14.0)}}}


def vacuum(*units: tuple[str, str]) -> dict[str, Any]:
    pairs = zip(units, (0, 30), (300, 480), strict=True)
    readings = [
        {"time": {"value": time, "unit": unit[0]}, "pressure": {"value": pressure, "unit": unit[1]}}
        for unit, time, pressure in pairs
    ]
    return {"before_start": {"evacuation": {"readings": readings}}}


def test_evidence_is_told_in_words_where_nothing_is_drawn(material: Made) -> None:
    picture = charts.evidence(material(results={"diagnosis": {"explanations": [TOLD]}}))
    assert picture is not None
    assert "Liquid or oil slug" in picture.alt
    assert "Oil black with a burnt, acrid smell (carbonised) -2.5" in picture.alt
    assert (picture.pixels, picture.vector) == (b"", b"")


def test_evidence_in_another_language(material: Made) -> None:
    results = {"diagnosis": {"explanations": [TOLD]}}
    picture = charts.evidence(material(results=results, language="es", say=catalogue("es")))
    assert picture is not None
    assert "Golpe de líquido o de aceite" in picture.alt
    assert "Aceite negro" in picture.alt


@pytest.mark.parametrize("told", [[], [{**TOLD, "layer": "cause"}], [{**TOLD, "weights": []}]])
def test_no_evidence_no_chart(material: Made, told: list[Any]) -> None:
    assert charts.evidence(material(results={"diagnosis": {"explanations": told}})) is None


def test_what_nobody_knows_any_more_keeps_its_id(material: Made) -> None:
    told = {"layer": "mode", "hypothesis": "old-mode", "weights": [{"finding": "old-finding", "alone": 1.0}]}
    picture = charts.evidence(material(results={"diagnosis": {"explanations": [told]}}))
    assert picture is not None
    assert "old-mode" in picture.alt
    assert "old finding +1.0" in picture.alt


@pytest.mark.parametrize(("form", "drawn"), [("svg", "vector"), ("png", "pixels")])
def test_a_chart_is_drawn_in_the_form_that_is_written(material: Made, form: str, drawn: str) -> None:
    picture = charts.filter_drop(material(results=log(6.0, 9.0), form=form))
    assert picture is not None
    assert getattr(picture, drawn)


def test_the_filter_drop_names_hours_values_and_limit(material: Made) -> None:
    picture = charts.filter_drop(material(results=log(6.0, None, 9.5)))
    assert picture is not None
    assert "over 2 hours: 6, 9.5" in picture.alt
    assert "14 kPa" in picture.alt
    assert charts.filter_drop(material(results=log(None))) is None
    assert charts.filter_drop(material()) is None


def test_the_vacuum_is_told_as_it_was_read(material: Made) -> None:
    case = vacuum(("min", "micron"), ("min", "micron"))
    picture = charts.vacuum(material(case=case, results={"evacuation": {}}))
    assert picture is not None
    assert "over 30 minutes: from 300 micron to 480 micron" in picture.alt


@pytest.mark.parametrize(
    ("case", "results"),
    [
        (vacuum(("min", "micron"), ("h", "micron")), {"evacuation": {}}),
        (vacuum(("min", "micron"), ("min", "micron")), {}),
        ({}, {"evacuation": {}}),
    ],
)
def test_a_vacuum_in_several_units_or_not_worked_out_is_not_drawn(material: Made, case: Any, results: Any) -> None:
    assert charts.vacuum(material(case=case, results=results)) is None


def test_a_new_core_begins_a_line_of_its_own(material: Made) -> None:
    results = log(6.0, 9.0, 2.0)
    for place, reading in enumerate(results["filter_log"]["readings"]):
        reading["reading"] = place
    case = {"filter_log": {"readings": [{}, {}, {"new_core": True}]}}
    drawn = charts.filter_drop(material(case=case, results=results, form="svg"))
    joined = charts.filter_drop(material(results=results, form="svg"))
    assert drawn is not None
    assert joined is not None
    assert drawn.vector.count(b'id="LineCollection') == 2 * joined.vector.count(b'id="LineCollection')
