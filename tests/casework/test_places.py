"""Where in the document a path of the view stands."""

from typing import Any

import pytest

from witnessmark.casework.places import field_of

SOUND = {"of": "sound", "values": {"suction_pressure": 1}}
FOUND = {"values": {"suction_pressure": 1}}
WARM = {"values": {"winding_temperature": 1}}


@pytest.mark.parametrize(
    ("path", "case", "field"),
    [
        ("machine.oil", {}, "machine.oil"),
        ("now.suction_pressure", {}, "readings.0.values.suction_pressure"),
        ("now.suction_pressure", {"readings": [SOUND]}, "readings.1.values.suction_pressure"),
        ("now.suction_pressure", {"readings": [FOUND, SOUND, FOUND, WARM]}, "readings.2.values.suction_pressure"),
        ("now.liquid_temperature", {"readings": [WARM, FOUND, WARM]}, "readings.1.values.liquid_temperature"),
        ("now.oil_water", {"readings": [FOUND]}, "readings.1.values.oil_water"),
        ("sound.suction_pressure.value", {"readings": [FOUND, SOUND]}, "readings.1.values.suction_pressure.value"),
        ("oil_sample.water", {"oil_samples": [{}, {}]}, "oil_samples.1.water"),
        (
            "now.suction_pressure",
            {"readings": [FOUND | {"at": "2026-06-18T11:30"}, FOUND | {"at": "2026-06-18T10:00"}]},
            "readings.0.values.suction_pressure",
        ),
        (
            "oil_sample.water",
            {"oil_samples": [{"at": "2026-06-18T11:30"}, {"at": "2026-06-18T10:00"}]},
            "oil_samples.0.water",
        ),
        ("pressure_test.gas", {"before_start": {}}, "before_start.pressure_tests.0.gas"),
    ],
)
def test_a_field_is_the_one_that_counts(path: str, case: dict[str, Any], field: str) -> None:
    """An answer that goes into the readings of the sound machine would tell of another one."""
    assert field_of(path, case) == field
