"""Quantities to readings and back, with what was assumed on the way."""

import math

import pytest

from witnessmark.api.context import RequestContext, Site
from witnessmark.api.quantities import AirPressure, Length, Pressure, Temperature, TemperatureDifference, Voltage
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
    assert RequestContext("IP").show_gauge(101_325.0).value == 0
    assert RequestContext("SI").show_gauge(201_325.0).unit == "kPag"


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
