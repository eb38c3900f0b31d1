"""Which number needs which readings, and when it tells something."""

from dataclasses import fields
from typing import Literal

import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.evidence.baseline import DEVIATIONS
from witnessmark.diagnosis.evidence.field_readings import Facts, FieldReadings
from witnessmark.diagnosis.evidence.number_rules import RULES, STATED, When, tells

FIELDS = {f.name for f in fields(FieldReadings)}


@pytest.mark.parametrize(
    ("when", "running", "at_rest", "not_said"),
    [
        ("pumping", True, False, True),
        ("running", True, False, False),
        ("not at rest", True, False, True),
        ("at rest", False, True, False),
        ("any time", True, True, True),
    ],
)
def test_when_a_number_tells_something(when: When, running: bool, at_rest: bool, not_said: bool) -> None:  # noqa: FBT001
    assert [tells(when, running=r, pumps=True) for r in (True, False, None)] == [running, at_rest, not_said]
    assert tells(when, running=True, pumps=False) == (running and when != "pumping")


def test_every_rule_names_fields_that_there_are_and_a_row_that_judges_it() -> None:
    for rule in (*RULES, *STATED):
        assert set(rule.needs) <= FIELDS
        assert rule.quantity in catalogue()
    assert set(DEVIATIONS) | set(DEVIATIONS.values()) <= set(catalogue())


def test_some_rules_do_with_any_of_their_fields_and_others_need_all() -> None:
    rules = {rule.quantity: rule for rule in RULES}
    one = frozenset({"insulation_by_phase", "suction_pressure"})
    assert rules["insulation-resistance"].fields(one) == ("insulation_by_phase",)
    assert rules["suction-superheat"].fields(one) == ()
    assert rules["starts-per-hour"].fields(frozenset()) == ()


def test_every_reading_is_used_by_some_rule() -> None:
    """Else it would be taken and dropped without a word."""
    used = {name for rule in (*RULES, *STATED) for name in rule.needs}
    beside = {
        "running",
        "load",
        "lines_read_at",
        "windings_labelled",
        "liquid_refrigerant",
        "heater_on",
        "winding_temperature",
        "winding_temperature_hot",
        "run_capacitor_marked",
        "start_capacitor_marked",
    }
    assert used | beside == FIELDS


@pytest.mark.parametrize(
    ("drive", "current", "expected", "rated", "share"),
    [
        ("fixed-speed", 168.0, 29.0, None, 168 / 29),
        (None, 60.0, None, 12.0, 5.0),
        (None, 24.0, 12.0, None, 2.0),
        (None, 23.9, 12.0, None, None),  # a rotor that turns: the running current says it all
        ("inverter", 60.0, None, 12.0, None),  # a drive limits it
        (None, 60.0, None, None, None),
    ],
)
def test_the_current_of_a_rotor_that_stands(
    drive: Literal["fixed-speed", "inverter"] | None,
    current: float,
    expected: float | None,
    rated: float | None,
    share: float | None,
) -> None:
    """A rotor that stands draws four to eight times the rated current (common practice); one that turns never does."""
    (rule,) = (row for row in RULES if row.quantity == "locked-rotor-fraction")
    taken = FieldReadings(
        running_current=Measured(current),
        expected_current=None if expected is None else Measured(expected),
        rated_current=None if rated is None else Measured(rated),
    )
    outcome = rule.compute(Facts(None, None, drive), taken)
    assert outcome is None if share is None else isinstance(outcome, Measured) and outcome.value == pytest.approx(share)
