"""Potentials of refrigerants: by hand, and against values that are printed for blends."""

from __future__ import annotations

import pytest

from witnessmark.data import DataError
from witnessmark.reference import source
from witnessmark.refrigerants import catalogue, environment
from witnessmark.refrigerants.environment import Substance


@pytest.mark.parametrize(
    ("designation", "ar4"),
    [  # as printed everywhere for these blends by the fourth report (Regulation (EU) 517/2014, from memory)
        ("R-410A", 2088),
        ("R-404A", 3922),
        ("R-407C", 1774),
        ("R-507A", 3985),
        ("R-448A", 1387),
        ("R-449A", 1397),
        ("R-454B", 466),
        ("R-454C", 148),
        ("R-452A", 2140),
        ("R-513A", 631),
        ("R-134a", 1430),
        ("R-744", 1),
    ],
)
def test_global_warming_of_blends_as_printed(designation: str, ar4: int) -> None:
    found = environment.environment(designation).global_warming_ar4
    assert found == pytest.approx(ar4, abs=1.0)


def test_half_and_half_by_hand() -> None:
    """R-502: 0.488 x 0.055 + 0.512 x 0.6 = 0.33404; 0.488 x 1810 + 0.512 x 7370 = 4656.72."""
    found = environment.environment("R-502")
    assert found.ozone_depletion == 0.334
    assert found.global_warming_ar4 == 4656.72
    assert found.substance_classes == ("hcfc", "cfc")
    assert found.sources == ("ipcc-gwp", "montreal-protocol")


@pytest.mark.parametrize(
    ("designation", "ar4", "ar6"),
    [  # AR6 WG1 table 7.SM.7; AR4: 40 CFR 98 table A-1 (2013)
        ("R-1234yf", 4, 0.501),
        ("R-1234ze(E)", 7, 1.37),
        ("R-1233zd(E)", 4.5, 3.88),
        ("R-1336mzz(E)", 18, 17.9),
        ("R-290", 3, 0.02),
        ("R-41", 92, 135),
        ("R-161", 12, 4.84),
        ("R-236ea", 1370, 1500),
        ("R-21", None, 160),
    ],
)
def test_potentials_of_the_tables(designation: str, ar4: float | None, ar6: float) -> None:
    found = environment.environment(designation)
    assert (found.global_warming_ar4, found.global_warming_ar6) == (ar4, ar6)


@pytest.mark.parametrize("designation", catalogue.designations())
def test_each_missing_potential_has_its_reason(designation: str) -> None:
    """Worst: a blend whose mean leaves out a component, or a null that nobody explains."""
    found = environment.environment(designation)
    missing = [found.ozone_depletion, found.global_warming_ar4, found.global_warming_ar6].count(None)
    assert len(found.unknown) == missing
    parts = catalogue.recipe(designation).components
    assert all(any(name in sentence for name in parts) for sentence in found.unknown)


def test_what_is_not_known_is_none_and_what_is_remembered_says_so() -> None:
    unknown = environment.environment("R-514A")
    assert unknown.global_warming_ar4 is None
    assert unknown.ozone_depletion is None
    assert [("R-1130(E)" in text, "R-1336mzz(Z)" in text) for text in unknown.unknown] == [(True, False)] * 3
    assert "potentials-remembered" in environment.environment("R-290").sources


def test_every_refrigerant_has_a_class_and_sources() -> None:
    for name in catalogue.designations():
        found = environment.environment(name)
        assert found.substance_classes
        assert all(source(key) for key in found.sources)
        if found.ozone_depletion:
            assert {"cfc", "hcfc", "hcfo", "chlorocarbon", "iodocarbon"} & set(found.substance_classes), name


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"R-32": None}, "R-32 is missing"),
        ({"R-999": Substance.model_validate({"class": "hfc"})}, "R-999 is in no refrigerant"),
        ({"R-32": Substance.model_validate({"class": "hfc", "remembered": ("ar6",)})}, "R-32: ar6 is remembered"),
    ],
)
def test_rows_that_do_not_fit_stop_the_start(
    monkeypatch: pytest.MonkeyPatch, change: dict[str, Substance | None], fault: str
) -> None:
    rows = {name: row for name, row in (environment.SUBSTANCES().substance | change).items() if row is not None}
    changed = environment.SUBSTANCES().model_copy(update={"substance": rows})
    monkeypatch.setattr(environment, "SUBSTANCES", lambda: changed)
    with pytest.raises(DataError, match=fault):
        environment.each_substance_is_there()
