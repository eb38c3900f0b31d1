"""What sound machines do: the data are checked when loaded."""

import math

import pytest

from witnessmark.calculations.compressor.compressor_types import (
    CompressorType,
    compressor_type,
    compressor_types,
    limits,
    shell_loss,
)
from witnessmark.errors import UnknownNameError


def test_efficiency_band_becomes_a_value_with_uncertainty() -> None:
    found = compressor_type("scroll")
    low, high = found.isentropic
    assert found.efficiency().value == pytest.approx((low + high) / 2)
    assert found.efficiency().uncertainty == pytest.approx((high - low) / math.sqrt(12))


def test_unknown_covers_every_type() -> None:
    """Not knowing the type must not narrow the band below that of any type it could be."""
    unknown = compressor_type("unknown")
    for kind in compressor_types().values():
        assert unknown.isentropic[0] <= kind.isentropic[0]
        assert unknown.isentropic[1] >= kind.isentropic[1]


def test_no_such_type() -> None:
    with pytest.raises(UnknownNameError) as caught:
        compressor_type("warp")
    assert caught.value.field == "compressor_type"


def test_a_band_must_be_a_band() -> None:
    with pytest.raises(ValueError, match="low < high"):
        CompressorType("odd", (0.8, 0.5), (0.5, 0.9), "common-practice")


def test_thresholds_are_in_order() -> None:
    tables = limits()
    assert 1.0 < tables["no_lift"]["ratio"] < tables["small_lift"]["ratio"]
    assert 0 < shell_loss().value < 1
