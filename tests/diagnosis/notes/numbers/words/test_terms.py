"""The words for numbers are refused with the row at fault, and name only what there is."""

from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.data import DataError, parsed
from witnessmark.diagnosis.catalogue.knowledge import knowledge, shipped
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.notes.numbers import scales
from witnessmark.diagnosis.notes.numbers.scales import check_numbers
from witnessmark.diagnosis.notes.numbers.words.rows import (
    NUMBERS,
    LabelRow,
    NumberWords,
    QuantityRow,
    UnitRow,
    dangling,
)
from witnessmark.diagnosis.notes.numbers.words.terms import terms
from witnessmark.reference import source


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("\n[[label]]\nquantities", "\n[[label]]\nquantitys", "label 1, quantities: Field required"),
        ("factor = 0.5555555555555556", 'factor = "one"', "factor: Input should be a valid number"),
        ('limit = "low"', 'limit = "lowest"', "limit: Input should be"),
        ('source = "common-practice"', 'source = "hearsay"', "source: Value error, no such source: hearsay"),
    ],
)
def test_faults(tmp_path: Path, old: str, new: str, fault: str) -> None:
    text = shipped().joinpath("numbers.toml").read_text("utf-8")
    assert old in text
    (tmp_path / "numbers.toml").write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(DataError, match=fault):
        parsed(tmp_path / "numbers.toml", "numbers.toml", NumberWords)


def test_what_does_not_exist_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    check_numbers()
    rows = NUMBERS()
    wrong = rows.model_copy(
        update={
            "quantity": (
                *rows.quantity,
                QuantityRow.model_validate(
                    {
                        "id": "charm",
                        "dimension": "mass",
                        "bare": ("~stone",),
                        "judged_by": "charm",
                        "pair": ("up", "down"),
                        "bands": ({"finding": "charming", "state": "present"},),
                    }
                ),
            ),
            "label": (*rows.label, LabelRow(quantities=("strangeness",), words=("strange",))),
            "unit": (*rows.unit, UnitRow(name="stone", dimension="mass", words=("st",), smaller=("pebble",))),
        }
    )
    faults = list(dangling(wrong, knowledge().findings, catalogue()))
    assert faults == [
        "numbers.toml: charm: unknown finding charming",
        "numbers.toml: charm: unknown reading charm",
        "numbers.toml: charm: unknown quantity down",
        "numbers.toml: charm: unknown quantity up",
        "numbers.toml: label: unknown quantity strangeness",
        "numbers.toml: stone: unknown unit pebble",
    ]
    monkeypatch.setattr(scales, "NUMBERS", lambda: wrong)
    with pytest.raises(DataError):
        check_numbers()


def test_bare_units_are_of_the_dimension_of_the_quantity() -> None:
    for row in terms().quantities.values():
        assert {terms().units[name.removeprefix("~")].dimension for name in row.bare} <= {row.dimension}
    assert source(NUMBERS().source).trust == "common practice"


@pytest.mark.parametrize(
    ("name", "factor", "offset"),
    # NIST SP 811, appendix B.8: degree Fahrenheit 5/9 K; psi 6.894757 E+03 Pa; inch of mercury 3.386389 E+03 Pa
    [
        ("fahrenheit degree", 5 / 9, 0.0),
        ("fahrenheit", 5 / 9, 459.67 * 5 / 9),
        ("celsius", 1.0, 273.15),
        ("psi gauge", 6894.757, 101325.0),
        ("bar gauge", 1e5, 101325.0),
        ("inch of mercury vacuum", -3386.389, 101325.0),
        ("micron", 0.133322, 0.0),
        ("ounce", 0.02834952, 0.0),
    ],
)
def test_unit_factors(name: str, factor: float, offset: float) -> None:
    unit = terms().units[name]
    assert unit.factor == pytest.approx(factor, rel=1e-6)
    assert unit.offset == pytest.approx(offset)


def test_own_limits_are_those_of_the_findings_text() -> None:
    """`high-hours` has no reading in the catalogue: its text gives 60 000 run hours or 15 years."""
    bands = [
        b for row in terms().quantities.values() for b in row.bands if (b.finding, b.state) == ("high-hours", "present")
    ]
    assert sorted(b.start for b in bands) == pytest.approx([60_000 * 3600, 15 * 365.25 * 24 * 3600], rel=1e-3)
    assert "60 000 run hours or 15 years" in knowledge().findings["high-hours"].text
