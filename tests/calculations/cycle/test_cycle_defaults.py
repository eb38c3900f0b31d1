"""Stand-ins for readings that were not taken."""

import pytest
from pydantic import ValidationError

from witnessmark.calculations.cycle.cycle_defaults import STAND_INS, StandIns
from witnessmark.calculations.metrology.uncertainty import Measured


def test_each_is_wide_and_usual() -> None:
    for usual in (STAND_INS().superheat, STAND_INS().subcooling):
        assert 0 < usual.uncertainty <= usual.value <= 15


def test_a_value_has_nothing_but_its_uncertainty() -> None:
    rows = {"superheat": {"value": 8.0, "width": 4.0}, "subcooling": {"value": 5.0}, "source": "thermo-estimate"}
    with pytest.raises(ValidationError, match=r"superheat\.width"):
        StandIns.model_validate(rows)
    assert StandIns.model_validate(rows | {"superheat": {"value": 8.0}}).superheat == Measured(8.0)
