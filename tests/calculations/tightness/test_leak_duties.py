"""Duties by country: what is asked for, by whom, and up to which day it was read."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from pydantic import ValidationError

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import leak_duties, leak_rules
from witnessmark.calculations.tightness.leak_duties import LeakRules, leak_rules_of
from witnessmark.calculations.tightness.leak_rate import Addition, Appliance, leak_rate
from witnessmark.calculations.tightness.leak_rules import POUND, ApplianceCategory
from witnessmark.data import DataError
from witnessmark.vocabulary import Country

DAY = date(2026, 8, 30)


def ruled(
    refrigerant: str = "R-448A",
    pounds: float = 300.0,
    share: float = 0.3,
    category: ApplianceCategory = "commercial-refrigeration",
    country: Country | None = None,
    day: date = DAY,
) -> LeakRules:
    plant = Appliance(refrigerant, Measured(pounds * POUND), category)
    return leak_rules_of(plant, leak_rate(plant, [Addition(day, Measured(share * pounds * POUND))]), country)


def texts(found: LeakRules, country: str = "united-states") -> str:
    return "; ".join(duty.text for duty in found.duties if duty.country == country)


def test_over_the_trigger_the_repair_has_a_term() -> None:
    found = ruled(country="united-states")
    assert [d.within_days for d in found.duties if d.text.startswith("repair within 30 days")] == [30]
    assert "verify the repair" in texts(found)
    assert "repair within" not in texts(ruled(share=0.1, country="united-states"))


def test_below_the_trigger_records_are_kept_all_the_same() -> None:
    assert "three years" in texts(ruled(share=0.01))
    assert texts(ruled("R-290")) == ""


@pytest.mark.parametrize(
    ("pounds", "category", "told"),
    [
        (499.0, "commercial-refrigeration", "once a year"),
        (501.0, "commercial-refrigeration", "every three months"),
        (501.0, "industrial-process", "every three months"),
        (501.0, "comfort-cooling", "once a year"),
    ],
)
def test_inspections_by_size_and_kind(pounds: float, category: ApplianceCategory, told: str) -> None:
    said = texts(ruled(pounds=pounds, category=category, share=0.5))
    assert [term for term in ("once a year until", "every three months until") if term in said] == [f"{told} until"]


@pytest.mark.parametrize(
    ("pounds", "category", "asked"),
    [
        (1499.0, "commercial-refrigeration", False),
        (1501.0, "commercial-refrigeration", True),
        (1501.0, "industrial-process", True),
        (5000.0, "comfort-cooling", False),  # a chiller has no such duty
    ],
)
def test_automatic_detection_from_1500_pounds(pounds: float, category: ApplianceCategory, asked: bool) -> None:  # noqa: FBT001
    assert ("automatic leak detection" in texts(ruled(pounds=pounds, category=category, share=0.01))) is asked


def test_a_chronic_leaker_is_reported() -> None:
    assert "1 March" in texts(ruled(share=1.25))
    assert "1 March" not in texts(ruled(share=1.24))


def test_both_rules_at_once_for_a_mixed_blend() -> None:
    rules = {d.regulation for d in ruled("R-402A", 60.0).duties if d.country == "united-states"}
    assert rules == {"40 CFR 82.157", "40 CFR 84.106"}
    rules = {d.regulation for d in ruled("R-402A", 20.0).duties if d.country == "united-states"}
    assert rules == {"40 CFR 84.106"}


def test_europe_asks_for_checks_repair_and_records() -> None:
    found = ruled(country="european-union")
    assert found.leak_check is not None
    assert found.leak_check.months == 6  # 136 kg of R-448A, some 189 t CO2e
    said = texts(found, "european-union")
    assert "without undue delay" in said
    assert "five years" in said
    assert "alerts the operator" not in said
    assert "alerts the operator" in texts(ruled(pounds=1000.0), "european-union")
    assert texts(found) == ""


@pytest.mark.parametrize(
    ("refrigerant", "category", "day", "barred"),
    [
        ("R-404A", "commercial-refrigeration", date(2024, 12, 31), False),
        ("R-404A", "commercial-refrigeration", date(2025, 1, 1), True),
        ("R-404A", "comfort-cooling", date(2025, 12, 31), False),
        ("R-404A", "comfort-cooling", date(2026, 1, 1), True),
        ("R-404A", "other", date(2025, 1, 1), True),  # not known which: the stricter
        ("R-410A", "comfort-cooling", DAY, False),
        ("R-448A", "commercial-refrigeration", DAY, False),
        ("R-448A", "commercial-refrigeration", date(2032, 1, 1), True),
    ],
)
def test_virgin_gas_that_may_not_be_added(
    refrigerant: str,
    category: ApplianceCategory,
    day: date,
    barred: bool,  # noqa: FBT001
) -> None:
    found = ruled(refrigerant, category=category, day=day, country="european-union")
    assert ("no virgin refrigerant of this" in texts(found, "european-union")) is barred


def test_ozone_depleting_plant_in_europe() -> None:
    assert "within 14 days" in texts(ruled("R-22"), "european-union")
    assert "within 14 days" in texts(ruled("R-402A"), "european-union")
    assert "within 14 days" not in texts(ruled("R-134a"), "european-union")


def test_without_a_country_all_stand_side_by_side_and_each_has_its_day() -> None:
    found = ruled()
    assert {d.country for d in found.duties} == {"united-states", "european-union"}
    assert [r.country for r in found.rules_as_of] == ["united-states", "european-union"]
    assert [r.country for r in ruled(country="united-states").rules_as_of] == ["united-states"]
    assert ruled(country="united-states").leak_check is None


def test_memory_is_told_beside_the_duty() -> None:
    trusts = {d.source: d.trust for d in ruled().duties}
    assert trusts["cfr-leak-terms-memory"] == "memory"
    assert trusts["cfr-84-duties"] == "published, second hand"


def test_every_country_has_a_day() -> None:
    row: dict[str, Any] = {"as_of": {"united-states": DAY}, "duty": ()}
    with pytest.raises(ValidationError, match="no day for european-union"):
        leak_duties.DutyTable.model_validate(row)


def test_a_duty_of_a_rule_that_has_no_trigger_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    table = leak_duties.TABLE()
    lost = table.duty[0].model_copy(update={"regulation": "40 CFR 1"})
    monkeypatch.setattr(leak_duties, "TABLE", lambda: table.model_copy(update={"duty": (lost,)}))
    with pytest.raises(DataError, match="40 CFR 1"):
        leak_duties.duties_name_a_trigger()


def test_every_duty_that_ships_names_a_trigger() -> None:
    leak_duties.duties_name_a_trigger()
    named = {t.regulation for t in leak_rules.TABLE().trigger}
    assert {d.regulation for d in leak_duties.TABLE().duty if d.country == "united-states"} <= named
