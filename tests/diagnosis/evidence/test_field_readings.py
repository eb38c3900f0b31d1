"""What was read, and what was set aside of it."""

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.evidence.field_readings import FieldReadings, SetAside


def test_present_names_what_was_given_zero_and_no_included() -> None:
    given = FieldReadings(running=False, line_currents=(Measured(0.0), Measured(0.0), Measured(0.0)))
    assert given.present() == {"running", "line_currents"}


def test_what_was_set_aside_is_told_with_its_reason() -> None:
    aside = SetAside(("suction_pressure", "discharge_pressure"), "check which hose is on which port")
    assert aside.text == "Set aside: suction pressure and discharge pressure: check which hose is on which port."
