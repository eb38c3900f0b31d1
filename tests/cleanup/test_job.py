"""What the planner is told must be able to run."""

from dataclasses import replace

import pytest
from tests.cleanup.cases import JOB

from witnessmark.errors import ConflictError


def test_liquid_is_warmer_than_the_evaporator() -> None:
    assert replace(JOB, liquid_temperature=277.7).liquid_temperature == 277.7
    for liquid in (277.6, 270.0):
        with pytest.raises(ConflictError) as caught:
            replace(JOB, liquid_temperature=liquid)
        assert caught.value.fields == ("liquid_temperature", "evaporating_temperature")
