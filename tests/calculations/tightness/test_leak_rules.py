"""Leak and recovery rules as data."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pydantic import ValidationError

from witnessmark.calculations.tightness import leak_rules
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import saturation

ROW: dict[str, Any] = {
    "regulation": "x",
    "substance": ("exempt",),
    "from": date(2020, 1, 1),
    "charge_lb": 1.0,
    "rates": {"industrial-process": 0.3, "commercial-refrigeration": 0.2, "comfort-cooling": 0.1, "other": 0.1},
    "source": "cfr-82-157",
}


def test_rows_are_checked() -> None:
    row = leak_rules.Trigger.model_validate(ROW)
    assert row.charge == pytest.approx(0.45359237)
    assert row.exempt == ()
    for change in ({"rates": {"other": 0.1}}, {"substance": ("air",)}, {"source": "nowhere"}, {"more": 1}):
        with pytest.raises(ValidationError):
            leak_rules.Trigger.model_validate({**ROW, **change})


def test_in_force_from_and_until() -> None:
    old = leak_rules.triggers("ozone-depleting")[0]
    assert old.until is not None
    assert old.in_force(old.start)
    assert not old.in_force(old.until)
    assert not old.in_force(date(1990, 1, 1))
    assert leak_rules.triggers("exempt") == ()


KINDS = {
    "R-22": "ozone-depleting",
    "R-123": "ozone-depleting",
    "R-502": "ozone-depleting",
    "R-401B": "mixed",
    "R-401A": "mixed",
    "R-402A": "mixed",
    "R-402B": "mixed",
    "R-408A": "mixed",
    "R-500": "mixed",
    "R-142b": "ozone-depleting",
    "R-409A": "ozone-depleting",
    "R-410A": "hydrofluorocarbon",
    "R-438A": "hydrofluorocarbon",
    "R-454B": "hydrofluorocarbon",
    "R-290": "exempt",
    "R-744": "exempt",
    "R-1234yf": "exempt",
}


@pytest.mark.parametrize("name", KINDS)
def test_substances_by_their_components(name: str) -> None:
    assert leak_rules.substance_of(name) == KINDS[name]


def test_unknown_substance() -> None:
    with pytest.raises(UnknownNameError):
        leak_rules.substance_of("R-0")


def test_pressure_classes_follow_the_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    for psia, expected in ((44.0, "low"), (45.0, "medium"), (170.0, "high"), (355.0, "high"), (355.1, "very-high")):
        monkeypatch.setattr(saturation, "bubble_pressure", lambda _d, _t, p=psia: p * leak_rules.PSI)
        assert leak_rules.pressure_class("R-22") == expected


def test_above_its_critical_point_is_very_high(monkeypatch: pytest.MonkeyPatch) -> None:
    def beyond(_designation: str, temperature: float) -> float:
        raise OutOfRangeError("temperature", temperature, 0.0, 300.0, "temperature")

    monkeypatch.setattr(saturation, "bubble_pressure", beyond)
    assert leak_rules.pressure_class("R-744") == "very-high"


def test_recovery_level_deepens_with_charge_and_machine() -> None:
    shallow = leak_rules.recovery_level("high", 50.0)
    deep = leak_rules.recovery_level("high", 100.0)
    assert deep.pressure < shallow.pressure
    assert leak_rules.recovery_level("high", 100.0, new_machine=False).pressure > deep.pressure
    assert (shallow.large_appliance, deep.large_appliance) == (False, True)
    assert leak_rules.recovery_level("low", 1.0).pressure == pytest.approx(25 * 133.322387415)


@pytest.mark.parametrize(
    ("pressure_class", "levels"),
    [
        ("low", (25 / 25.4, 25 / 25.4, 25 / 25.4, 25 / 25.4)),
        ("medium", (25.9, 19.9, 25.9, 14.9)),
        ("high", (29.9, 29.9, 25.9, 19.9)),
        ("very-high", (29.9, 29.9, 29.9, 29.9)),
    ],
)
def test_every_recovery_level(pressure_class: leak_rules.PressureClass, levels: tuple[float, ...]) -> None:
    """40 CFR 82.156, Table 1, inches of mercury absolute: small old, small new, large old, large new."""
    cases = [(charge, new) for charge in (90.7, 90.72) for new in (False, True)]
    found = [leak_rules.recovery_level(pressure_class, charge, new_machine=new).pressure for charge, new in cases]
    assert found == pytest.approx([level * 3386.388640341 for level in levels])


def test_the_examples_of_the_pressure_classes() -> None:
    assert [leak_rules.pressure_class(name) for name in ("R-134a", "R-410A")] == ["medium", "high"]


def test_the_file_holds_what_was_reviewed() -> None:
    table = leak_rules.TABLE()
    assert (table.chronic.share, table.recovery.split_lb, len(table.trigger)) == (1.25, 200.0, 4)
    assert [row.counts_from for row in table.trigger] == [None, None, None, date(2026, 1, 1)]
