"""An input error of a lower layer speaks of the request's field."""

import pytest

from witnessmark.errors import InputError, OutOfRangeError, located


def test_renames_the_field() -> None:
    with pytest.raises(OutOfRangeError) as caught, located(pressure="suction_pressure"):
        raise OutOfRangeError("pressure", 1.0, 2.0, 3.0, "pressure")
    assert caught.value.field == "suction_pressure"


def test_leaves_other_fields_alone() -> None:
    with pytest.raises(InputError) as caught, located(pressure="suction_pressure"):
        raise InputError("refrigerant", "unknown", "a known one")
    assert caught.value.field == "refrigerant"


def test_lets_a_good_block_pass() -> None:
    with located(pressure="suction_pressure"):
        done = True
    assert done
