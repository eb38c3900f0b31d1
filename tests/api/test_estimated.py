"""Estimates on the wire."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Mass
from witnessmark.api.schemas.estimated import MEANINGLESS, Estimated
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.uncertainty import Estimate

EXACT = Estimate(2.0, 0.0, 2.0, 2.0, "exact")


def test_quantity_in_the_system_of_the_caller() -> None:
    """The pound of 1959: 0.45359237 kg."""
    context = RequestContext("IP")
    shown = Estimated[Mass].model_validate(Estimate(2.0, 0.5, 1.0, 3.5, "random draws", 0.9), context=context)
    assert shown.value.unit == "lb"
    assert shown.low.value == pytest.approx(1 / 0.45359237)
    assert shown.method == "random draws"
    assert len(context.assumptions) == 1


def test_ratio() -> None:
    context = RequestContext()
    shown = Estimated[Ratio].model_validate(EXACT, context=context)
    assert (shown.value, shown.low, shown.method) == (Ratio(value=2.0), Ratio(value=2.0), "exact")
    assert context.assumptions == []


@pytest.mark.parametrize("at", ["low", "high", "uncertainty"])
def test_the_edge_of_what_says_nothing(at: str) -> None:
    sound = {"value": 1.0, "uncertainty": 1.0, "low": 1.0, "high": 1.0, "method": "exact", at: MEANINGLESS}
    assert Estimated[Mass].model_validate(Estimate(**sound), context=RequestContext()).value.value == 1  # type: ignore[arg-type]
    with pytest.raises(ValidationError, match="leaves nothing"):
        Estimated[Mass].model_validate(Estimate(**sound | {at: 1.001e12}), context=RequestContext())  # type: ignore[arg-type]


def test_names_in_the_document() -> None:
    assert Estimated[Mass].__name__ == "EstimatedMass"
