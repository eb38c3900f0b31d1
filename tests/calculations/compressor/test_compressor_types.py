"""What sound machines do: the data are checked when loaded."""

import math
from typing import get_args

import pytest
from pydantic import ValidationError

from witnessmark.calculations.compressor.compressor_types import (
    LIMITS,
    CompressorLimits,
    CompressorType,
    HeatTaken,
    compressor_type,
    loss_of,
)
from witnessmark.errors import InputError, UnknownNameError
from witnessmark.vocabulary import Compressor


def test_efficiency_band_becomes_a_value_with_uncertainty() -> None:
    scroll = compressor_type("scroll")
    assert scroll.isentropic == (0.55, 0.80)
    assert scroll.efficiency().value == pytest.approx(0.675)
    assert scroll.efficiency().uncertainty == pytest.approx(0.25 / math.sqrt(12))
    assert scroll.volumetric_efficiency().value == pytest.approx(0.925)


def test_a_type_that_is_not_known_covers_every_type() -> None:
    """Not knowing the type must not narrow a band below that of any type it could be."""
    anything = compressor_type(None)
    for kind in LIMITS().types.values():
        assert anything.isentropic[0] <= kind.isentropic[0] < kind.isentropic[1] <= anything.isentropic[1]
        assert anything.volumetric[0] <= kind.volumetric[0] < kind.volumetric[1] <= anything.volumetric[1]


def test_no_such_type() -> None:
    with pytest.raises(UnknownNameError) as caught:
        compressor_type("warp")  # type: ignore[arg-type]
    assert caught.value.field == "compressor"
    assert caught.value.near == ("scroll", "reciprocating", "rotary", "screw")


def test_a_type_of_the_trade_to_which_this_does_not_apply_is_refused_with_the_reason() -> None:
    with pytest.raises(InputError, match="positive-displacement") as caught:
        compressor_type("centrifugal")
    assert (caught.value.field, caught.type) == ("compressor", InputError)
    assert set(get_args(Compressor.__value__)) == {*LIMITS().types, "centrifugal"}


@pytest.mark.parametrize("band", [(0.8, 0.5), (0.5, 0.5), (0.0, 0.5), (0.5, 1.01)])
def test_a_band_must_be_a_band(band: tuple[float, float]) -> None:
    with pytest.raises(ValidationError, match="low < high"):
        CompressorType(isentropic=band, volumetric=(0.5, 1.0), source="common-practice")


@pytest.mark.parametrize("band", ["isentropic", "volumetric"])
def test_a_file_whose_any_type_covers_less_is_refused(band: str) -> None:
    tables = LIMITS().model_dump()
    tables["any_type"][band] = (0.7, 0.71)
    with pytest.raises(ValidationError, match="must cover"):
        CompressorLimits.model_validate(tables)


def test_thresholds_are_in_order() -> None:
    limits = LIMITS()
    assert 1.0 < limits.no_lift.ratio < limits.small_lift.ratio
    assert 0 < limits.shell_loss.share.uncertainty < limits.shell_loss.share.value < 1


@pytest.mark.parametrize("share", [(0.5, 0.5), (-0.1, 0.5), (0.1, 1.0)])
def test_a_share_of_heat_must_be_a_band(share: tuple[float, float]) -> None:
    with pytest.raises(ValidationError, match="share of heat"):
        HeatTaken(share=share, source="common-practice")


def test_what_cools_the_gas_takes_its_share() -> None:
    """Half of the band to either side, every value equally likely (GUM 4.3.7); nothing taken: the shell's loss."""
    oil = loss_of("oil")
    assert oil.value == pytest.approx(0.425)
    assert oil.uncertainty == pytest.approx(0.85 / math.sqrt(12))
    assert loss_of("none") == loss_of(None) == LIMITS().shell_loss.share
