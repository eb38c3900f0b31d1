"""Results read from what a calculation returns, field by field of the model, and what is missing."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated, Literal

import pytest
from pydantic import Field

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Mass, Temperature, Wire
from witnessmark.api.results import result
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.uncertainty import Measured


@dataclass
class Part:
    temperature: float = 273.15


@dataclass
class Whole:
    mass: Measured | None = field(default_factory=lambda: Measured(1.5, 0.1))
    share: Measured | None = field(default_factory=lambda: Measured(0.25, 0.05))
    verdict: str = "good"
    parts: tuple[Part, ...] = (Part(), Part(283.15))
    part: Part | None = None


class PartShown(Wire):
    temperature: Temperature


class WholeShown(Wire):
    name: str
    mass: Mass | None
    share: Ratio | None
    verdict: Annotated[Literal["good", "bad"], Field(description="How it is.")]
    parts: list[PartShown]
    part: PartShown | None


def test_each_field_is_read_by_its_kind() -> None:
    context = RequestContext()
    shown = result(context, WholeShown, Whole(part=Part(300.0)), name="a")
    assert shown.name == "a"
    assert shown.mass == Mass(value=1.5, unit="kg", uncertainty=0.1)
    assert shown.share == Ratio(value=0.25, uncertainty=0.05)
    assert shown.verdict == "good"
    assert [p.temperature.value for p in shown.parts] == [0.0, 10.0]
    assert shown.part is not None
    assert shown.part.temperature == Temperature(value=26.85, unit="degC")


def test_none_stays_none_and_named_units_reach_nested_models() -> None:
    source = Whole(mass=None, share=None, part=Part())
    shown = result(RequestContext("IP"), WholeShown, source, {"temperature": "K"}, name="a")
    assert (shown.mass, shown.share) == (None, None)
    assert [p.temperature.unit for p in shown.parts] == ["K", "K"]
    assert shown.part is not None
    assert shown.part.temperature == Temperature(value=273.15, unit="K")


def test_a_field_that_stands_nowhere_is_a_fault_of_the_code() -> None:
    with pytest.raises(AttributeError, match="name"):
        result(RequestContext(), WholeShown, Whole())
