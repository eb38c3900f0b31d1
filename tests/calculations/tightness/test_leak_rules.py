"""Leak and recovery rules as data."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from witnessmark.calculations.tightness import leak_rules
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import saturation

ROW: dict[str, Any] = {
    "regulation": "x",
    "substance": ["exempt"],
    "from": date(2020, 1, 1),
    "charge_lb": 1.0,
    "rates": {"industrial-process": 0.3, "commercial-refrigeration": 0.2, "comfort-cooling": 0.1, "other": 0.1},
    "source": "cfr-82-157",
}


def test_rows_are_checked() -> None:
    assert leak_rules.build(ROW).charge == pytest.approx(0.45359237)
    for change in ({"rates": {"other": 0.1}}, {"substance": ["air"]}):
        with pytest.raises(ValueError, match="needs a rate"):
            leak_rules.build({**ROW, **change})
    with pytest.raises(KeyError):
        leak_rules.build({**ROW, "source": "nowhere"})


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
    "R-401B": "ozone-depleting",
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
    assert (shallow.large, deep.large) == (False, True)
    assert leak_rules.recovery_level("low", 1.0).pressure == pytest.approx(25 * 133.322387415)
