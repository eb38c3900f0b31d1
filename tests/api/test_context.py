"""Quantities to readings and back, with what was assumed on the way."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Annotated

import pytest
from pydantic import AliasChoices, Field, ValidationError

from witnessmark.api.context import Answer, RequestContext, Site
from witnessmark.api.quantities import (
    AirPressure,
    GaugePressure,
    InUnit,
    Length,
    Mass,
    Pressure,
    Shown,
    Temperature,
    TemperatureDifference,
    Voltage,
)
from witnessmark.api.schemas.estimated import Estimated
from witnessmark.api.schemas.ratio import Ratio
from witnessmark.calculations.metrology.uncertainty import Estimate, Measured
from witnessmark.errors import InputError, OutOfRangeError
from witnessmark.reference.instruments import default_uncertainty

WIDE = (0.0, 1e9)


def test_a_gauge_reading_without_a_site_assumes_sea_level_and_says_so_once() -> None:
    context = RequestContext()
    for _ in range(2):
        assert context.read(Pressure(value=0, unit="psig"), "p", *WIDE).value == 101_325.0
    assert len(context.assumptions) == 1
    assert "sea level" in context.assumptions[0]


def test_an_absolute_reading_needs_no_site() -> None:
    context = RequestContext()
    context.read(Pressure(value=100, unit="kPaa"), "p", *WIDE)
    assert context.assumptions == []


def test_not_knowing_the_weather_widens_a_gauge_reading_unless_the_barometer_was_read() -> None:
    gauge = Pressure(value=900, unit="kPag", uncertainty=5)
    weather = default_uncertainty("standard-atmosphere", 101_325.0)
    for site in (None, Site(altitude=Length(value=100, unit="m"))):
        found = RequestContext(site=site).read(gauge, "p", *WIDE, instrument="pressure-gauge-digital")
        assert found.uncertainty == pytest.approx(math.hypot(5e3, weather))
    site = Site(barometer=AirPressure(value=99, unit="kPaa"))
    assert RequestContext(site=site).read(gauge, "p", *WIDE, instrument="pressure-gauge-digital").uncertainty == 5e3


def test_a_default_uncertainty_is_named() -> None:
    context = RequestContext("IP")
    found = context.read(Temperature(value=50, unit="degF"), "suction", *WIDE, instrument="pipe-thermometer")
    assert found.uncertainty == default_uncertainty("pipe-thermometer", found.value)
    assert context.assumptions[0].startswith("suction: standard uncertainty")
    assert "pipe thermometer" in context.assumptions[0]


def test_out_of_range_names_field_and_dimension() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        RequestContext().read(Voltage(value=1, unit="kV"), "line.0", 0.0, 600.0)
    assert (caught.value.field, caught.value.dimension, caught.value.high) == ("line.0", "voltage", 600.0)


def test_an_uncertainty_wider_than_the_range_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        RequestContext().read(Voltage(value=400, unit="V", uncertainty=1e15), "line.0", 0.0, 1e3)
    assert caught.value.field == "line.0"


def test_nothing_read_is_nothing() -> None:
    assert RequestContext().read_optional(None, "p", *WIDE) is None
    assert RequestContext().show_optional(TemperatureDifference, None) is None


def test_answers_come_in_the_system_asked_for() -> None:
    assert RequestContext("IP").show(TemperatureDifference, 5.0).unit == "delta_degF"
    assert RequestContext("SI").show(TemperatureDifference, 5.0).unit == "K"


def test_sources_and_cautions_stand_once_in_the_order_they_were_quoted() -> None:
    context = RequestContext()
    context.cite("coolprop", "ashrae-34")
    context.cite("coolprop")
    context.warn("licensed", "licensed")
    notes = context.notes()
    assert [s.id for s in notes["sources"]] == ["coolprop", "ashrae-34"]
    assert [c.id for c in notes["cautions"]] == ["licensed"]
    assert notes["model_version"].property_library.startswith("CoolProp ")


def test_names_of_differences() -> None:
    assert Temperature(value=1, unit="degC").scale.width_name == "K"
    assert Pressure(value=1, unit="barg").scale.width_name == "bar"
    for scale in Pressure.table.units.values():  # a width is neither gauge nor absolute
        assert not scale.width_name.endswith(("rg", "ra", "ag", "aa", "iag", "ia", "vac"))
    assert Voltage(value=1, unit="V").scale.width_name == "V"


@dataclass
class Part:
    temperature: float = 273.15


@dataclass
class Whole:
    """The pound of 1959: 0.45359237 kg."""

    mass: Measured | None = field(default_factory=lambda: Measured(0.45359237, 0.045359237))
    share: Measured | None = field(default_factory=lambda: Measured(0.25, 0.05))
    total: Estimate = field(default_factory=lambda: Estimate(2.0, 0.5, 1.0, 3.5, "random draws", 0.9))
    pressure: float = 201_325.0
    parts: tuple[Part, ...] = (Part(), Part(283.15))
    part: Part | None = None


class PartShown(Shown):
    temperature: Temperature


class WholeShown(Shown):
    name: str
    mass: Mass | None
    share: Ratio | None
    total: Annotated[Estimated[Mass], InUnit("g", "oz")]
    pressure: Pressure
    gauge: GaugePressure = Field(validation_alias=AliasChoices("gauge", "pressure"))
    parts: list[PartShown]
    part: PartShown | None


class WholeAnswer(Answer):
    result: WholeShown


def test_a_result_is_read_field_by_field_in_the_units_of_the_caller() -> None:
    """Half a bar over standard air is 50 kPa by the gauge; 28.349523125 g make an ounce."""
    context = RequestContext("IP")
    shown = context.result(WholeShown, Whole(part=Part(300.0)), name="a")
    assert shown.name == "a"
    assert shown.mass == Mass(value=1, unit="lb", uncertainty=0.1)
    assert shown.share == Ratio(value=0.25, uncertainty=0.05)
    assert (shown.total.low.unit, shown.total.method) == ("oz", "random draws")
    assert shown.total.high.value == pytest.approx(3500 / 28.349523125)
    assert [p.temperature.unit for p in shown.parts] == ["degF", "degF"]
    assert shown.parts[0].temperature.value == pytest.approx(32)
    assert (shown.pressure.unit, shown.gauge.unit) == ("psia", "psig")
    assert shown.gauge.value == pytest.approx(100_000 / 6894.757293168)
    assert len(context.assumptions) == 2  # the air, and the draws
    assert any(text.startswith("total: First-order propagation does not hold") for text in context.assumptions)


def test_a_unit_asked_for_ends_with_its_field() -> None:
    shown = RequestContext().result(WholeShown, Whole(mass=None, share=None, part=Part()), name="a")
    assert (shown.mass, shown.share) == (None, None)
    assert shown.total.value == Mass(value=2000, unit="g", uncertainty=500)
    assert (shown.pressure, shown.gauge.unit) == (Pressure(value=201.325, unit="kPaa"), "kPag")
    assert shown.part is not None
    assert shown.part.temperature == Temperature(value=0, unit="degC")


def test_an_answer_has_the_notes_of_its_result() -> None:
    answer = RequestContext().answer(WholeAnswer, Whole(), name="a")
    assert answer.result.name == "a"
    assert len(answer.assumptions) == 2
    assert [source.id for source in answer.sources] == ["iso-2533"]


def test_a_field_that_stands_nowhere_is_a_fault_of_the_code() -> None:
    with pytest.raises(ValidationError, match="name"):
        RequestContext().result(WholeShown, Whole())


def test_an_estimate_that_says_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="leaves nothing of total"):
        RequestContext().result(WholeShown, Whole(total=Estimate(1.0, 1e13, 0.0, 1.0, "first order")), name="a")
