from __future__ import annotations

import subprocess
import sys
from typing import Any

import pytest

from witnessmark.data import DataError
from witnessmark.errors import UnknownNameError
from witnessmark.reference import caution, source
from witnessmark.refrigerants import catalogue, curves, library

ASKED_FOR = [
    "R-22",
    "R-32",
    "R-134a",
    "R-123",
    "R-125",
    "R-143a",
    "R-152a",
    "R-23",
    "R-245fa",
    "R-1233zd(E)",
    "R-1234yf",
    "R-1234ze(E)",
    "R-290",
    "R-600",
    "R-600a",
    "R-1270",
    "R-744",
    "R-717",
    "R-12",
    "R-11",
    "R-502",
    "R-401A",
    "R-402A",
    "R-404A",
    "R-407A",
    "R-407C",
    "R-407F",
    "R-407H",
    "R-408A",
    "R-409A",
    "R-410A",
    "R-417A",
    "R-421A",
    "R-422B",
    "R-422D",
    "R-427A",
    "R-434A",
    "R-438A",
    "R-442A",
    "R-448A",
    "R-449A",
    "R-450A",
    "R-452A",
    "R-452B",
    "R-453A",
    "R-454A",
    "R-454B",
    "R-454C",
    "R-455A",
    "R-466A",
    "R-471A",
    "R-500",
    "R-507A",
    "R-508B",
    "R-513A",
    "R-514A",
    "R-515B",
    "R-516A",
]
CELSIUS = 273.15


def test_every_refrigerant_asked_for_is_there() -> None:
    assert set(ASKED_FOR) <= set(catalogue.designations())


@pytest.mark.parametrize("designation", catalogue.designations())
def test_each_entry_is_whole(designation: str) -> None:
    found = catalogue.get(designation)
    assert found.designation == designation
    assert sum(catalogue.recipe(designation).components.values()) == pytest.approx(1.0, abs=1e-12)
    assert found.t_min < found.t_max < found.critical_temperature
    lowest = catalogue.recipe(designation).from_critical or 0.5
    assert found.critical_temperature - found.t_max <= lowest + 1e-3
    assert found.toxicity
    assert found.flammability
    assert source(found.notes[0].source) if found.notes else True
    for key in found.cautions:
        assert caution(key)
    assert found.library == "CoolProp 8.0.0"


def test_the_curves_rest_on_the_library_installed() -> None:
    assert {catalogue.get(name).library for name in catalogue.designations()} == {library.library_version()}


@pytest.mark.parametrize(
    ("designation", "composition", "safety_class"),
    [  # ASHRAE 34, from memory
        ("R-410A", {"R-32": 0.5, "R-125": 0.5}, "A1"),
        ("R-454B", {"R-32": 0.689, "R-1234yf": 0.311}, "A2L"),
        ("R-448A", {"R-32": 0.26, "R-125": 0.26, "R-1234yf": 0.20, "R-134a": 0.21, "R-1234ze(E)": 0.07}, "A1"),
        ("R-471A", {"R-1234ze(E)": 0.787, "R-227ea": 0.043, "R-1336mzz(E)": 0.17}, "A1"),
        ("R-514A", {"R-1336mzz(Z)": 0.747, "R-1130(E)": 0.253}, "B1"),
        ("R-717", {"R-717": 1.0}, "B2L"),
        ("R-290", {"R-290": 1.0}, "A3"),
    ],
)
def test_composition_and_class(designation: str, composition: dict[str, float], safety_class: str) -> None:
    found = catalogue.get(designation)
    assert catalogue.recipe(designation).components == composition
    assert found.safety_class == safety_class


@pytest.mark.parametrize(
    ("designation", "celsius", "bar"),
    [  # critical points as printed in handbooks, from memory; to 0.2 K and 0.5 %
        ("R-134a", 101.06, 40.59),
        ("R-22", 96.15, 49.90),
        ("R-744", 30.98, 73.77),
        ("R-290", 96.7, 42.5),
        ("R-410A", 71.3, 49.0),
        ("R-32", 78.1, 57.8),
        ("R-717", 132.3, 113.3),
    ],
)
def test_critical_point(designation: str, celsius: float, bar: float) -> None:
    found = catalogue.get(designation)
    assert found.critical_temperature - CELSIUS == pytest.approx(celsius, abs=0.2)
    assert found.critical_pressure == pytest.approx(bar * 1e5, rel=5e-3)


def test_molar_mass_of_a_blend_is_the_harmonic_mean() -> None:
    # R-32 52.024 and R-125 120.02 g/mol by mass 50/50: 72.585 g/mol (ASHRAE 34 lists 72.6, from memory)
    assert catalogue.get("R-410A").molar_mass == pytest.approx(1 / (0.5 / 0.052024 + 0.5 / 0.12002), rel=1e-4)


def test_stand_in_pairs_and_newer_models_are_told() -> None:
    assert "estimated-mixture" in catalogue.get("R-402A").cautions
    assert catalogue.get("R-402A").accuracy_K >= 1.0
    assert "older models" in catalogue.get("R-454B").notes[0].text
    assert "pseudo-pure" in catalogue.get("R-407C").notes[0].text
    assert catalogue.get("R-717").cautions == ("flammable-refrigerant", "toxic-refrigerant")
    assert catalogue.get("R-744").cautions == ("carbon-dioxide-pressure",)
    assert catalogue.get("R-134a").cautions == ()


@pytest.mark.parametrize(
    ("wrong", "near"),
    [("R410A", "R-410A"), ("r-454b", "R-454B"), ("R-1234YF", "R-1234yf"), ("410a", "R-410A"), ("R-32 ", "R-32")],
)
def test_unknown_names_suggest_near_ones(wrong: str, near: str) -> None:
    with pytest.raises(UnknownNameError) as caught:
        catalogue.get(wrong)
    assert caught.value.field == "refrigerant"
    assert near in caught.value.near


@pytest.mark.parametrize("wrong", ["", "water", "\udfff", "R" * 100_000, "R-410A\n", "HEOS::R32"])
def test_nothing_else_is_taken(wrong: str) -> None:
    with pytest.raises(UnknownNameError):
        catalogue.get(wrong)


GOOD: dict[str, Any] = {
    "kind": "zeotropic",
    "components": {"R-32": 0.5, "R-125": 0.5},
    "safety_class": "A1",
    "basis": "mixture",
    "accuracy": 0.2,
}


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"components": {"R-32": 0.5, "R-125": 0.4}}, "sum to one"),
        ({"components": {"R-32": 1.5, "R-125": -0.5}}, "greater than 0"),
        ({"components": {"R-32": 1.0, "R-125": 0.0}}, "greater than 0"),
        ({"kind": "odd"}, "'single', 'azeotropic' or 'zeotropic'"),
        ({"kind": "single"}, "single substance"),
        ({"kind": "single", "components": {}, "basis": "pure"}, "single substance"),
        ({"components": {"R-410A": 1.0}}, "blend of several"),
        ({"safety_class": "C1"}, "safety_class"),
        ({"safety_class": "A4"}, "safety_class"),
        ({"basis": "pure"}, "basis"),
        ({"accuracy": 0.0}, "greater than 0"),
        ({"from_critical": 3.0}, "needs its reason"),
        ({"coldest": 200.0}, "needs its reason"),
        ({"why_coldest": "a reason of nothing"}, "needs its reason"),
    ],
)
def test_a_row_that_cannot_be_right_is_refused(change: dict[str, Any], fault: str) -> None:
    catalogue.Rows.model_validate({"refrigerant": {"R-410A": GOOD}})
    with pytest.raises(ValueError, match=fault):
        catalogue.Rows.model_validate({"refrigerant": {"R-410A": GOOD | change}})


@pytest.mark.parametrize(
    ("file", "row", "fault"),
    [
        ("zeotropic", GOOD | {"notes": ("nowhere",)}, "R-999A: no such note: nowhere"),
        ("azeotropic", GOOD, "R-999A is zeotropic, but stands in azeotropic.toml"),
    ],
)
def test_rows_that_do_not_fit_stop_the_start(
    monkeypatch: pytest.MonkeyPatch, file: str, row: dict[str, Any], fault: str
) -> None:
    rows = catalogue.Rows.model_validate({"refrigerant": {"R-999A": row}})
    monkeypatch.setattr(catalogue, "_ROWS", {file: lambda: rows})
    with pytest.raises(DataError, match=fault):
        catalogue.rows_fit()


def test_a_refrigerant_in_two_files_stops_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = catalogue.Rows.model_validate({"refrigerant": {"R-999A": GOOD}})
    monkeypatch.setattr(catalogue, "_ROWS", {"zeotropic": lambda: rows, "azeotropic": lambda: rows})
    with pytest.raises(DataError, match="R-999A stands there twice"):
        catalogue.rows_fit()


def test_a_refrigerant_without_curves_and_curves_without_one_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(curves, "CURVES", {"R-0": None, **dict.fromkeys(catalogue.designations()[1:])})
    with pytest.raises(DataError) as caught:
        catalogue.each_has_curves()
    assert [fault.rpartition(" ")[2] for fault in caught.value.faults] == ["R-0", "R-11"]


def test_catalogue_and_saturation_need_no_property_library() -> None:
    code = (
        "import sys; from witnessmark.refrigerants import catalogue, saturation, states; catalogue.get('R-410A'); "
        "saturation.dew_temperature('R-454B', 8e5); sys.exit('CoolProp' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0  # noqa: S603


def test_gas_hotter_than_the_data_is_told() -> None:
    found = catalogue.get("R-448A")
    assert found.extrapolates(300.0, None, found.model_t_max + 0.1)
    assert not found.extrapolates(None, found.model_t_max)


@pytest.mark.parametrize(
    ("designation", "caution"),
    [
        ("R-729", "oxidising-gas"),
        ("R-732", "oxidising-gas"),
        ("R-744A", "oxidising-gas"),
        ("R-728/732 (80/20)", "oxidising-gas"),
        ("R-1123", "self-decomposing-gas"),
    ],
)
def test_what_explodes_by_itself_or_with_oil_is_told(designation: str, caution: str) -> None:
    """Worst: a circuit filled or tested with air or oxygen, since nothing in the answer spoke against it."""
    assert caution in catalogue.get(designation).cautions
    assert caution not in catalogue.get("R-728").cautions + catalogue.get("R-410A").cautions


@pytest.mark.parametrize(
    ("mixture", "safety_class"),
    [
        ("R-32/125 (60/40)", "A2L"),
        ("R-22/125 (60/40)", "A1"),
        ("R-22/290 (99/1)", "A3"),
        ("R-22/123 (95/5)", "B1"),
        ("R-134a/152a (90/10)", "A2"),
        ("R-125/E170/764 (60/30/10)", "B3"),
    ],
)
def test_a_mixture_has_the_class_of_its_worst_component(mixture: str, safety_class: str) -> None:
    """Worst wrong answer: a mixture called safe that burns. One per cent of propane is enough to be treated as such."""
    assert catalogue.recipe(mixture).safety_class == safety_class


def test_a_mixture_is_described_like_a_refrigerant() -> None:
    found = catalogue.get("R-32/125 (60/40)")
    assert [(part.designation, part.mass_fraction) for part in found.components] == [("R-32", 0.6), ("R-125", 0.4)]
    assert found.kind == "zeotropic"
    assert found.basis == "mixture"
    assert found.cautions == ("flammable-refrigerant", "unclassed-mixture")
    assert [note.source for note in found.notes] == ["mixture-on-demand"]


@pytest.mark.parametrize(
    ("mixture", "accuracy"),
    [
        ("R-32/125 (60/40)", 0.5),  # twice the 0.2 K of R-410A, and no less than the least of any mixture
        ("R-22/152a (60/40)", 2.6),  # twice the 1.3 K of R-415A and R-415B
        ("R-22/125 (60/40)", 3.0),  # an estimated pair
        ("R-23/600a (60/40)", 3.0),  # no catalogued blend holds the two
    ],
)
def test_the_accuracy_of_a_mixture_is_that_of_its_worst_pair(mixture: str, accuracy: float) -> None:
    assert catalogue.recipe(mixture).accuracy == pytest.approx(accuracy)


@pytest.mark.parametrize("text", ["R-410A/22 (90/10)", "R-32/999 (60/40)", "R-32/125 (60/41)"])
def test_a_mixture_of_anything_but_substances_is_unknown(text: str) -> None:
    with pytest.raises(UnknownNameError):
        catalogue.recipe(text)
