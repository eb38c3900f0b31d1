"""Leak rate by both methods: dates, exemptions, faults."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness.leak_rate import Addition, Appliance, annualised, leak_rate
from witnessmark.calculations.tightness.leak_rules import ApplianceCategory
from witnessmark.errors import ConflictError, InputError, OutOfRangeError

POUND = 0.45359237


def pounds(mass: float, uncertainty: float = 0.0) -> Measured:
    return Measured(mass * POUND, uncertainty * POUND)


def chiller(charge: float = 100.0, category: ApplianceCategory = "comfort-cooling") -> Appliance:
    return Appliance("R-410A", pounds(charge), category)


def test_days_are_capped_at_a_year() -> None:
    assert annualised(12, 120, 500) == pytest.approx(0.10)
    assert annualised(12, 120, 36.5) == pytest.approx(1.0)


def test_first_addition_counts_as_a_year() -> None:
    found = leak_rate(chiller(), [Addition(date(2026, 3, 1), pounds(5))])
    assert found.days == 365
    assert found.annualising.value == pytest.approx(0.05)


def test_an_addition_before_the_rule_counted_does_not_shorten_the_span() -> None:
    additions = [Addition(date(2025, 12, 20), pounds(5)), Addition(date(2026, 1, 10), pounds(5))]
    found = leak_rate(chiller(), additions)
    assert found.days == 365
    assert found.rolling.value == pytest.approx(0.05)
    later = leak_rate(chiller(), [*additions, Addition(date(2026, 1, 20), pounds(5))])
    assert later.days == 10
    assert later.rolling.value == pytest.approx(0.10)


def test_rolling_window_is_365_days_and_starts_anew_with_a_repair() -> None:
    last = date(2027, 6, 30)
    days = [last - timedelta(days=d) for d in (400, 365, 364, 100, 0)]
    additions = [Addition(day, pounds(2)) for day in days]
    assert leak_rate(chiller(), additions).rolling.value == pytest.approx(0.06)
    repaired = leak_rate(chiller(), additions, repaired=last - timedelta(days=99))
    assert repaired.rolling.value == pytest.approx(0.02)
    assert leak_rate(chiller(), additions, repaired=last + timedelta(days=1)).rolling.value == pytest.approx(0.06)


def test_trigger_applies_by_date_charge_and_kind_of_plant() -> None:
    addition = [Addition(date(2026, 2, 1), pounds(30))]
    (judged, old) = sorted(leak_rate(chiller(), addition).triggers, key=lambda j: not j.applies)
    assert judged.annualising is not None
    assert judged.annualising.exceeded
    assert judged.annualising.standing == "over"
    assert (judged.limit, old.applies) == (0.10, False)
    assert "not in force" in old.reason
    small = leak_rate(chiller(10.0), [Addition(date(2026, 2, 1), pounds(3))]).triggers
    assert any("below the size" in j.reason for j in small)
    home = Appliance("R-410A", pounds(100), "comfort-cooling", residential_light_commercial=True)
    assert not any(j.applies for j in leak_rate(home, addition).triggers)


def test_verdict_by_uncertainty() -> None:
    close = leak_rate(chiller(), [Addition(date(2026, 2, 1), pounds(10.1, 0.5))])
    below = leak_rate(chiller(), [Addition(date(2026, 2, 1), pounds(2, 0.5))])
    verdicts = [j.rolling for found in (close, below) for j in found.triggers if j.rolling]
    assert [(v.exceeded, v.standing) for v in verdicts] == [(True, "too close to tell"), (False, "not over")]


def test_chronic_leaker_by_calendar_year() -> None:
    additions = [Addition(date(2026, 1, 5), pounds(70)), Addition(date(2026, 11, 5), pounds(60))]
    assert leak_rate(chiller(), additions).chronic
    over_new_year = [Addition(date(2026, 11, 5), pounds(70)), Addition(date(2027, 2, 5), pounds(60))]
    assert not leak_rate(chiller(), over_new_year).chronic
    exempt = Appliance("R-290", pounds(100), "other")
    found = leak_rate(exempt, additions)
    assert (found.chronic, found.triggers) == (False, ())


def test_substance_can_be_told() -> None:
    told = Appliance("R-410A", pounds(100), "other", substance="ozone-depleting")
    assert leak_rate(told, [Addition(date(2018, 1, 1), pounds(1))]).substance == "ozone-depleting"


def test_faults_name_the_field() -> None:
    day = date(2026, 1, 1)
    with pytest.raises(InputError, match="additions"):
        leak_rate(chiller(), [])
    with pytest.raises(OutOfRangeError, match="full_charge"):
        leak_rate(chiller(0.0), [Addition(day, pounds(1))])
    with pytest.raises(OutOfRangeError, match=r"additions\.0\.mass"):
        leak_rate(chiller(), [Addition(day, pounds(-1))])
    with pytest.raises(ConflictError):
        leak_rate(chiller(), [Addition(day, pounds(1)), Addition(day, pounds(2))])


def test_the_example_of_the_annualising_method() -> None:
    assert annualised(5, 100, 73) == pytest.approx(0.25)
    assert annualised(5, 100, 364) == pytest.approx(0.05 * 365 / 364)
    assert annualised(5, 100, 366) == pytest.approx(0.05)


@pytest.mark.parametrize(("added", "exceeded"), [(10.0, False), (10.001, True)])
def test_the_edge_of_a_trigger(added: float, exceeded: bool) -> None:  # noqa: FBT001
    """Ten percent is not exceeded by ten percent."""
    found = leak_rate(
        Appliance("R-410A", Measured(100.0), "comfort-cooling"), [Addition(date(2026, 2, 1), Measured(added))]
    )
    verdicts = [t.rolling for t in found.triggers if t.rolling]
    assert [v.exceeded for v in verdicts] == [exceeded]


@pytest.mark.parametrize(("charge", "covered"), [(15.0, True), (14.999, False)])
def test_the_edge_of_the_least_charge(charge: float, covered: bool) -> None:  # noqa: FBT001
    found = leak_rate(chiller(charge), [Addition(date(2026, 2, 1), pounds(1))])
    assert any(t.applies for t in found.triggers) is covered


@pytest.mark.parametrize(("added", "chronic"), [(125.0, True), (124.9, False)])
def test_the_edge_of_a_chronic_leaker(added: float, chronic: bool) -> None:  # noqa: FBT001
    appliance = Appliance("R-410A", Measured(100.0), "comfort-cooling")
    assert leak_rate(appliance, [Addition(date(2026, 2, 1), Measured(added))]).chronic is chronic


@pytest.mark.parametrize(("substance", "told"), [("exempt", False), (None, False), ("hydrofluorocarbon", True)])
def test_an_exempt_refrigerant_has_no_recovery_level(substance: Any, told: bool) -> None:  # noqa: FBT001
    appliance = Appliance("R-744", Measured(100.0), "comfort-cooling", substance=substance)
    found = leak_rate(appliance, [Addition(date(2026, 2, 1), Measured(1.0))])
    assert (found.recovery is not None) is told


def test_the_recovery_level_belongs_to_the_answer() -> None:
    addition = [Addition(date(2026, 2, 1), Measured(1.0))]
    appliance = Appliance("R-410A", Measured(100.0), "comfort-cooling")
    deep = leak_rate(appliance, addition).recovery
    old = leak_rate(replace(appliance, new_recovery_machine=False), addition).recovery
    assert deep is not None
    assert old is not None
    assert deep.pressure == pytest.approx(19.9 * 3386.388640341)
    assert (deep.depth, old.depth) == (10.0, 4.0)
    assert old.pressure == pytest.approx(25.9 * 3386.388640341)
    assert (old.pressure_class, old.large_appliance) == ("high", True)


def verdicts(refrigerant: str, pounds_held: float) -> dict[str, bool | None]:
    """Each trigger in force in 2026, and whether 30 % in 201 days exceeds it; None: it does not apply."""
    plant = Appliance(refrigerant, pounds(pounds_held), "commercial-refrigeration")
    additions = [Addition(date(2026, 2, 10), pounds(0)), Addition(date(2026, 8, 30), pounds(0.3 * pounds_held))]
    found = leak_rate(plant, additions).triggers
    return {
        t.trigger.regulation: t.exceeded if t.applies else None for t in found if t.trigger.in_force(date(2026, 8, 30))
    }


@pytest.mark.parametrize("refrigerant", ["R-401A", "R-401B", "R-402A", "R-402B", "R-408A", "R-500"])
def test_a_blend_of_ozone_depleting_and_others_is_not_told_that_it_is_free(refrigerant: str) -> None:
    """Only appliances with solely an ozone-depleting substance are out of 40 CFR 84.106."""
    assert verdicts(refrigerant, 20.0) == {"40 CFR 82.157": None, "40 CFR 84.106": True}
    assert verdicts(refrigerant, 14.9) == {"40 CFR 82.157": None, "40 CFR 84.106": None}
    assert verdicts(refrigerant, 60.0) == {"40 CFR 82.157": True, "40 CFR 84.106": True}  # both rules at once


@pytest.mark.parametrize("refrigerant", ["R-22", "R-502", "R-409A"])
def test_solely_ozone_depleting_is_under_the_older_rule_alone(refrigerant: str) -> None:
    assert verdicts(refrigerant, 20.0) == {"40 CFR 82.157": None}
    assert verdicts(refrigerant, 60.0) == {"40 CFR 82.157": True}


def test_each_rule_counts_the_additions_that_it_knows() -> None:
    """30 days before, in 2025: the older rule spans 30 days, the newer one knows of no addition before."""
    plant = Appliance("R-402A", pounds(100), "other")
    additions = [Addition(date(2025, 12, 20), pounds(5)), Addition(date(2026, 1, 19), pounds(2))]
    found = leak_rate(plant, additions)
    assert found.days == 30
    exceeded = {t.trigger.regulation: t.annualising.exceeded for t in found.triggers if t.annualising}
    assert exceeded == {"40 CFR 82.157": True, "40 CFR 84.106": False}


def test_the_repair_duty_dates_from_1993() -> None:
    plant = Appliance("R-22", pounds(100), "comfort-cooling")
    for day, applies in ((date(1993, 6, 13), False), (date(1993, 6, 14), True), (date(1994, 1, 1), True)):
        (check,) = [t for t in leak_rate(plant, [Addition(day, pounds(20))]).triggers if t.limit == 0.15]
        assert check.applies is applies
