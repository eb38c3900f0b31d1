"""What the planner is told must be able to run."""

import pytest

from witnessmark.cleanup.case import Circuit
from witnessmark.errors import ConflictError


def test_liquid_is_warmer_than_the_evaporator() -> None:
    assert Circuit("R-410A", 278.0, liquid=308.0).liquid == 308.0
    with pytest.raises(ConflictError) as caught:
        Circuit("R-410A", 313.0, liquid=308.0)
    assert caught.value.fields == ("liquid_temperature", "evaporating_temperature")
