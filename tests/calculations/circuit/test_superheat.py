"""Superheat and subcooling: the right curve, the uncertainty, the limits."""

import doctest
import math
from dataclasses import replace

import numpy as np
import pytest

from witnessmark.calculations.circuit import superheat as sh
from witnessmark.calculations.compressor.operating_limits import LIMITS as OPERATING_LIMITS
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import OutOfRangeError, UnknownNameError
from witnessmark.refrigerants import catalogue, saturation
from witnessmark.vocabulary import Application, Compressor, words

PRESSURE = Measured(600e3, 10e3)
SCROLL = sh.MarginMachine("scroll", "air-conditioning", "electronic-valve")


def test_superheat_counts_from_dew_and_subcooling_from_bubble() -> None:
    """R-407C at 6 bar: dew 280.937 K, bubble 274.853 K by Lemmon, Int. J. Thermophys. 24 (2003) 991."""
    hot, cold = Measured(290.0), Measured(270.0)
    assert sh.superheat("R-407C", PRESSURE, hot).margin.value == pytest.approx(9.063, abs=0.001)
    assert sh.subcooling("R-407C", PRESSURE, cold).margin.value == pytest.approx(4.853, abs=0.001)
    assert sh.superheat("R-407C", PRESSURE, hot).saturation_temperature.value == pytest.approx(280.937, abs=0.001)
    assert sh.subcooling("R-407C", PRESSURE, cold).saturation_temperature.value == pytest.approx(274.853, abs=0.001)


def test_uncertainty_joins_pressure_temperature_and_property_basis() -> None:
    result = sh.superheat("R-134a", Measured(350e3, 7e3), Measured(290.0, 0.8))
    slope = saturation.dew_slope("R-134a", result.saturation_temperature.value)
    expected = math.hypot(7e3 / slope, 0.8, catalogue.get("R-134a").accuracy_K / 2)
    assert result.margin.uncertainty == pytest.approx(expected, rel=1e-3)


def test_uncertainty_agrees_with_random_draws() -> None:
    """10^5 draws, GUM supplement 1: within 5 %."""
    pressure, temperature = Measured(930e3, 20e3), Measured(288.0, 1.0)
    generator = np.random.default_rng(1)
    p = generator.normal(pressure.value, pressure.uncertainty, 100_000)
    t = generator.normal(temperature.value, temperature.uncertainty, 100_000)
    basis = generator.normal(0.0, sh.basis_uncertainty("R-410A"), 100_000)
    drawn = float(np.std(t - saturation.dew_temperature("R-410A", p) - basis))
    assert sh.superheat("R-410A", pressure, temperature).margin.uncertainty == pytest.approx(drawn, rel=0.05)


@pytest.mark.parametrize(
    ("value", "width", "expected"),
    [
        (1.0, 0.5, "below"),
        (12.0, 1.0, "within"),
        (40.0, 2.0, "above"),
        (5.0, 1.0, "cannot tell"),
        (1.0, 5.0, "cannot tell"),
    ],
)
def test_standing_against_limits(value: float, width: float, expected: str) -> None:
    (limits,) = sh.limits_for("suction", SCROLL)
    assert (limits.low, limits.high) == (5.0, 30.0)
    assert sh.standing(Measured(value, width), limits) == expected


@pytest.mark.parametrize(
    ("above_dew", "expected"), [(10.0, "single phase"), (-3.5, "saturated or wet"), (0.5, "cannot tell")]
)
def test_phase_is_said_only_where_the_uncertainty_allows(above_dew: float, expected: str) -> None:
    result = sh.superheat("R-410A", PRESSURE, Measured(264.506 + above_dew, 1.0))
    assert result.phase == expected


def test_each_place_has_its_own_limits() -> None:
    reading = Measured(294.722 + 8.0)
    exact = Measured(600e3)
    assert sh.superheat("R-134a", exact, reading, "suction", SCROLL).verdict == "within"
    assert sh.superheat("R-134a", exact, reading, "sump", SCROLL).verdict == "below"
    assert sh.superheat("R-134a", exact, reading, "discharge", SCROLL).verdict == "below"


def test_unknown_place_is_named() -> None:
    with pytest.raises(UnknownNameError) as caught:
        sh.superheat("R-134a", PRESSURE, Measured(300.0), "attic")
    assert caught.value.field == "place"


def test_pressure_out_of_range_names_the_field_that_was_asked() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        sh.saturation_temperature("R-134a", Measured(1.0), "dew", "discharge_pressure")
    assert caught.value.field == "discharge_pressure"


def test_a_band_must_be_a_band() -> None:
    with pytest.raises(ValueError, match="low < high"):
        sh.Band(low=5.0, high=5.0, source="common-practice")


def test_the_example_in_the_docstring() -> None:
    assert doctest.testmod(sh) == (0, 8)


def margin(value: float, place: str = "suction", machine: sh.MarginMachine = sh.ANY_MACHINE) -> sh.Margin:
    """Superheat of exactly `value` K, known to 0.1 K."""
    dew = float(saturation.dew_temperature("R-134a", 600e3))
    return sh.superheat("R-134a", Measured(600e3), Measured(dew + value, 0.1), place, machine)


@pytest.mark.parametrize("far", [4.0, 10.0, 40.0])
def test_a_suction_line_colder_than_liquid_can_be_is_no_wet_gas(far: float) -> None:
    """Worst wrong answer: "saturated or wet", so that somebody hunts for liquid with the wrong refrigerant's chart."""
    result = margin(-far)
    assert (result.phase, result.verdict) == ("cannot both be right", "cannot both be right")
    assert "Another refrigerant" in result.likely_reasons[0]
    assert "Air" in result.likely_reasons[1]
    assert "not run" in " ".join(margin(-far, "discharge").likely_reasons)


@pytest.mark.parametrize("above_dew", [10.0, 40.0])
def test_a_liquid_line_hotter_than_gas_begins_is_no_flash_gas(above_dew: float) -> None:
    """R-407C: 10 K above dew is 15 K above bubble; within the glide it may be flash gas."""
    dew, bubble = (float(f("R-407C", 1.5e6)) for f in (saturation.dew_temperature, saturation.bubble_temperature))
    result = sh.subcooling("R-407C", Measured(1.5e6), Measured(dew + above_dew, 0.5))
    assert (result.phase, result.verdict) == ("cannot both be right", "cannot both be right")
    assert "taps swapped" in result.likely_reasons[0]
    flashing = sh.subcooling("R-407C", Measured(1.5e6), Measured((dew + bubble) / 2, 0.1))
    assert (flashing.phase, flashing.verdict, flashing.likely_reasons) == ("saturated or wet", "below", ())


def test_a_little_pressure_drop_is_no_contradiction() -> None:
    """Up to 1.5 K beyond, the gauge and the thermometer may not stand at one place; a diagnosis allows 3 K."""
    assert margin(-1.6).phase == "saturated or wet"  # 0.1 K known to 0.1 K twice, and the property basis
    assert margin(-2.0).phase == "cannot both be right"
    dew = float(saturation.dew_temperature("R-134a", 600e3))
    asked = (sh.superheat("R-134a", Measured(600e3), Measured(dew - below, 0.1), beyond=3.0) for below in (3.1, 3.5))
    assert [found.phase for found in asked] == ["saturated or wet", "cannot both be right"]


def test_oil_colder_than_saturation_is_a_finding_not_a_contradiction() -> None:
    """Refrigerant condenses into a cold sump: the answer must stay "below", which keeps the machine off."""
    result = margin(-15.0, "sump")
    assert (result.phase, result.verdict, result.likely_reasons) == ("saturated or wet", "below", ())


def test_a_bubble_line_that_ends_above_the_pressure_contradicts_nothing() -> None:
    """R-455A below 82 kPa: the dew line goes on, the bubble line does not."""
    pressure = 0.999 * saturation.pressure_range("R-455A", "bubble")[0]
    dew = float(saturation.dew_temperature("R-455A", pressure))
    assert sh.superheat("R-455A", Measured(pressure), Measured(dew - 30.0, 0.5)).phase == "saturated or wet"


def test_one_scroll_guide_does_not_judge_every_machine() -> None:
    """7 K: enough for a scroll by its guide, too little for a freezer's piston machine by a trade list of 20 degF."""
    piston = sh.MarginMachine("reciprocating", "low-temperature", "thermostatic-valve")
    assert margin(7.0, machine=SCROLL).verdict == "within"
    assert margin(7.0, machine=piston).verdict == "below"
    assert margin(7.0).verdict == "cannot tell"
    assert {limits.source for limits in margin(7.0).bands} >= {"scroll-variable-guide", "rack-return-gas"}


@pytest.mark.parametrize(
    ("value", "expected"),
    [(1.0, "below"), (12.0, "within"), (26.0, "cannot tell"), (52.0, "cannot tell"), (62.0, "above")],
)
def test_without_facts_only_what_all_sources_agree_on_is_said(value: float, expected: str) -> None:
    """52 K is the return gas of a cabinet with a capillary, 62 K above every upper limit that is stated."""
    result = margin(value)
    assert result.verdict == expected
    assert (result.lower_limit, result.upper_limit) == (11.1, 25.0)


def test_limits_follow_the_metering_device() -> None:
    orifice = sh.MarginMachine("scroll", "air-conditioning", "fixed-orifice")
    assert margin(4.0, machine=SCROLL).verdict == "below"
    assert margin(4.0, machine=orifice).verdict == "cannot tell"
    flooded = sh.MarginMachine("screw", "medium-temperature", "float")
    assert margin(1.0, machine=flooded).verdict == "within"
    assert [(band.low, band.high) for band in margin(1.0, machine=flooded).bands] == [(0.0, 10.0)]


def test_a_sump_at_discharge_pressure_has_no_such_limit() -> None:
    result = margin(4.0, "sump", sh.MarginMachine("rotary"))
    assert (result.verdict, result.bands, result.lower_limit, result.upper_limit) == ("no limit known", (), None, None)


def test_the_maker_overrides_all() -> None:
    result = margin(4.0, machine=sh.MarginMachine("scroll", maker=(3.0, None)))
    assert (result.verdict, result.lower_limit, result.upper_limit) == ("within", 3.0, 50.0)
    assert [band.source for band in result.bands] == ["maker-limit"]
    without = sh.MarginMachine("scroll", maker=(3.0, None), maker_document="Guide 4, page 7")
    assert margin(60.0, machine=without).verdict == "above"  # no upper limit stated is none that allows everything


@pytest.mark.parametrize(
    ("maker", "document", "at", "verdict"),
    [
        ((2.0, None), "", 2.5, "below"),
        ((2.0, None), "Guide 4, page 7", 2.5, "within"),
        ((1.0, None), "Guide 4, page 7", 2.5, "below"),
        ((5.0, 45.0), "Guide 4, page 7", 40.0, "within"),
        ((5.0, 70.0), "Guide 4, page 7", 40.0, "above"),
        ((8.0, 20.0), "", 6.0, "below"),
    ],
)
def test_a_maker_far_beyond_all_sources_does_not_count(
    maker: tuple[float, float | None], document: str, at: float, verdict: str
) -> None:
    machine = sh.MarginMachine("scroll", "air-conditioning", maker=maker, maker_document=document)
    assert margin(at, machine=machine).verdict == verdict


def test_subcooling_after_a_receiver() -> None:
    bubble = float(saturation.bubble_temperature("R-134a", 1e6))
    reading = Measured(bubble - 1.5, 0.1)
    cooling, freezer = (sh.MarginMachine(application=a) for a in ("air-conditioning", "low-temperature"))
    verdicts = [sh.subcooling("R-134a", Measured(1e6), reading, m).verdict for m in (cooling, freezer, sh.ANY_MACHINE)]
    assert verdicts == ["below", "within", "cannot tell"]


def test_a_source_without_an_upper_limit_silences_none() -> None:
    """R-410A, 118 psig and 180 degF: some 78 K, above every upper limit that any source states."""
    result = sh.superheat("R-410A", Measured(118 * 6894.757 + 101325.0, 5e3), Measured(355.37, 1.0))
    assert result.verdict == "above"
    assert margin(60.0, "discharge").verdict == "within"  # a minimum alone: nothing is stated of too much


def test_a_limit_that_may_not_hold_calls_nothing_too_much_alone() -> None:
    """52 K of a freezer's piston machine: too much for a rack, usual with a capillary; nobody said what feeds it."""
    freezer = sh.MarginMachine("reciprocating", "low-temperature")
    assert [margin(at, machine=freezer).verdict for at in (28.0, 40.0, 52.0)] == ["within", "within", "cannot tell"]
    capillary, valve = (sh.MarginMachine("reciprocating", "low-temperature", m) for m in ("capillary", "float"))
    assert [margin(at, machine=capillary).verdict for at in (28.0, 52.0, 62.0)] == ["within", "within", "above"]
    assert margin(52.0, machine=valve).verdict == "above"


@pytest.mark.parametrize(
    ("refrigerant", "machine", "celsius", "verdict"),
    [
        ("R-410A", SCROLL, 100.0, "within"),
        ("R-410A", SCROLL, 106.9, "cannot tell"),
        ("R-410A", SCROLL, 110.0, "above"),
        ("R-410A", sh.ANY_MACHINE, 160.0, "above"),
        ("R-717", sh.MarginMachine("reciprocating"), 125.0, "within"),
        ("R-717", sh.MarginMachine("reciprocating"), 155.0, "above"),
        ("R-717", sh.ANY_MACHINE, 125.0, "cannot tell"),
        ("R-717", sh.MarginMachine("screw"), 125.0, "above"),
    ],
)
def test_a_discharge_line_too_hot_is_never_within(
    refrigerant: str, machine: sh.MarginMachine, celsius: float, verdict: str
) -> None:
    """Worst wrong answer: "within" at 110 to 160 degC, where the oil breaks down."""
    pressure = float(saturation.dew_pressure(refrigerant, 308.15))
    result = sh.superheat(refrigerant, Measured(pressure), Measured(273.15 + celsius, 0.2), "discharge", machine)
    assert (result.verdict, bool(result.likely_reasons)) == (verdict, verdict != "within")


def test_the_maker_may_allow_a_hotter_line_up_to_a_bound() -> None:
    dew = float(saturation.dew_temperature("R-410A", 2.73e6))
    for high, at, verdict in ((85.0, 125.0, "within"), (85.0, 140.0, "above"), (185.0, 140.0, "above")):
        for document in ("", "Guide 4, page 7"):
            machine = sh.MarginMachine("scroll", maker=(11.0, high), maker_document=document)
            line = Measured(273.15 + at, 0.2)
            found = sh.superheat("R-410A", Measured(2.73e6), line, "discharge", machine).verdict
            assert found == (verdict if document else "above"), dew


def test_the_hottest_line_is_the_same_as_of_a_compression() -> None:
    """One figure in two files: what a compression calls too hot, superheat does too."""
    limits = (row for row in OPERATING_LIMITS().limit if row.quantity == "discharge_temperature" and not row.cooling)
    theirs = {(row.value, row.refrigerants, row.compressors, row.special, row.source) for row in limits}
    ours = {(r.temperature, r.refrigerants, r.compressors, r.special, r.source) for r in sh.bands().hottest}
    assert ours == theirs


@pytest.mark.parametrize(
    ("below", "verdict"),
    [(1.0, "below"), (3.0, "below"), (4.36, "cannot both be right"), (6.0, "cannot both be right")],
)
@pytest.mark.parametrize("name", ["R-410A", "R-404A", "R-134a", "R-407C"])
def test_a_line_some_kelvin_below_boiling_is_a_wrong_reading(name: str, below: float, verdict: str) -> None:
    """Four standard uncertainties and a kelvin for the pressure drop below the bubble temperature: no gas is there."""
    pressure, scroll = 9e5, sh.MarginMachine("scroll")
    boiling = float(saturation.bubble_temperature(name, pressure))
    found = sh.superheat(name, Measured(pressure, 5e3), Measured(boiling - below, 1.0), "suction", scroll)
    assert found.verdict == verdict
    assert bool(found.likely_reasons) == (verdict == "cannot both be right")


def test_without_a_makers_limit_there_is_no_word_on_it() -> None:
    assert sh.maker_words("suction", sh.MarginMachine()) == ()


@pytest.mark.parametrize("compressor", words(Compressor))
@pytest.mark.parametrize("application", words(Application))
@pytest.mark.parametrize("metering", [None, *words(sh.MeteringDevice)])
def test_every_machine_has_an_upper_limit_of_suction_superheat(
    compressor: Compressor, application: Application, metering: sh.MeteringDevice | None
) -> None:
    """Worst wrong answer: gas 74 K above saturation, which cools no motor, is "within" once a valve is named."""
    machine = sh.MarginMachine(compressor, application, metering)
    found = sh.superheat("R-404A", Measured(0.377e6, 3e3), Measured(333.15, 1.0), "suction", machine)
    assert found.upper_limit is not None
    assert found.verdict == "above"


COOLING = sh.MarginMachine("scroll", "air-conditioning", "thermostatic-valve")
STEADY_118_PSIG = Measured(118 * 6894.757 + 101325.0, 3000.0)
PISTONS = sh.MarginMachine("reciprocating")


@pytest.mark.parametrize(
    ("kelvin", "machine", "verdict", "why"),
    [
        (5.0, COOLING, "cannot tell", "at-a-limit"),
        (9.0, COOLING, "within", None),
        (1.0, COOLING, "below", None),
        (4.0, replace(COOLING, metering="fixed-orifice"), "cannot tell", "at-a-limit"),
        (8.5, PISTONS, "cannot tell", "limits-differ"),  # 11.1 K in cold rooms, 5 K in air conditioning
        (11.1, PISTONS, "cannot tell", "perhaps-differ"),
    ],
)
def test_what_would_tell_it_where_nobody_can(
    kelvin: float, machine: sh.MarginMachine, verdict: str, why: str | None
) -> None:
    """Worst: `cannot tell` that sends a technician home, where half a kelvin would decide. 118 psig: 4.36 degC."""
    boils = sh.superheat("R-410A", STEADY_118_PSIG, Measured(290.0)).saturation_temperature.value
    found = sh.superheat("R-410A", STEADY_118_PSIG, Measured(boils + kelvin, 0.5), machine=machine)
    assert found.verdict == verdict
    assert found.likely_reasons == (sh.bands().reasons[why] if why else ())


def test_what_has_its_reason_keeps_it() -> None:
    """A pressure that may be none says so before anything else."""
    found = sh.superheat("R-410A", Measured(10.1e3, 10.1e3), Measured(290.0))
    assert found.likely_reasons == sh.bands().reasons["to-vacuum"]


def at(
    designation: str, pressure: float, kelvin: float, machine: sh.MarginMachine, place: str = "suction"
) -> sh.Margin:
    """Superheat of `kelvin` K, known to 0.1 K, at this pressure."""
    dew = float(saturation.dew_temperature(designation, pressure))
    return sh.superheat(designation, Measured(pressure), Measured(dew + kelvin, 0.1), place, machine)


@pytest.mark.parametrize(
    ("compressor", "metering", "kelvin", "verdict"),
    [
        ("centrifugal", None, 1.4, "within"),
        ("centrifugal", "electronic-valve", 1.4, "within"),
        ("centrifugal", None, 14.0, "above"),
        ("centrifugal", None, -1.0, "below"),
        ("screw", None, 1.4, "cannot tell"),
        ("screw", "float", 1.4, "within"),
        ("screw", "thermostatic-valve", 1.4, "below"),
        ("reciprocating", None, 1.4, "below"),
        (None, None, 1.4, "below"),
    ],
)
def test_a_flooded_machine_is_not_called_wet(
    compressor: Compressor | None, metering: sh.MeteringDevice | None, kelvin: float, verdict: str
) -> None:
    """Centrifugal chillers are flooded, screws as often as not; nobody else may be passed for that."""
    machine = sh.MarginMachine(compressor, "air-conditioning", metering)
    found = at("R-134a", 350e3, kelvin, machine)
    assert found.verdict == verdict
    if compressor == "screw" and metering is None:
        assert found.likely_reasons == sh.bands().reasons["limits-differ"]


@pytest.mark.parametrize(
    ("metering", "kelvin", "verdict"),
    [
        ("thermostatic-valve", 4.7, "within"),
        (None, 6.2, "within"),
        (None, 28.7, "above"),
        ("float", 28.7, "above"),
        ("float", 1.0, "within"),
        ("thermostatic-valve", 1.0, "below"),
        (None, 1.0, "cannot tell"),
        (None, -1.0, "below"),
    ],
)
@pytest.mark.parametrize("application", ["medium-temperature", "low-temperature", None])
def test_ammonia_is_not_held_against_the_return_gas_of_racks(
    application: Application | None, metering: sh.MeteringDevice | None, kelvin: float, verdict: str
) -> None:
    """20 degF at the compressor would overheat the discharge; rating is at 0 to 10 K."""
    machine = sh.MarginMachine("reciprocating", application, metering)
    assert at("R-717", 200e3, kelvin, machine).verdict == verdict


@pytest.mark.parametrize(
    ("designation", "kelvin", "machine", "verdict"),
    [
        ("R-404A", 36.0, ("scroll", "low-temperature", "thermostatic-valve"), "within"),
        ("R-448A", 25.0, ("scroll", "medium-temperature", "electronic-valve"), "within"),
        ("R-404A", 55.0, ("scroll", "low-temperature", "thermostatic-valve"), "above"),
        ("R-410A", 36.0, ("scroll", "air-conditioning", "thermostatic-valve"), "above"),
        ("R-404A", 3.0, ("scroll", "low-temperature", "thermostatic-valve"), "below"),
        ("R-134a", 51.0, ("reciprocating", "low-temperature", "capillary"), "within"),
        ("R-600a", 56.0, ("reciprocating", "low-temperature", "capillary"), "within"),
        ("R-290", 31.0, ("rotary", "medium-temperature", "capillary"), "within"),
        ("R-410A", 31.0, ("rotary", "air-conditioning", "capillary"), "above"),
        ("R-134a", 1.0, ("reciprocating", "low-temperature", "capillary"), "below"),
    ],
)
def test_return_gas_at_the_points_machines_are_rated_at(
    designation: str, kelvin: float, machine: tuple[Compressor, Application, sh.MeteringDevice], verdict: str
) -> None:
    """Low temperature: 40 degF over -25 degF (36 K); cabinets: 90 degF over -10 degF (55.5 K)."""
    assert at(designation, 120e3, kelvin, sh.MarginMachine(*machine)).verdict == verdict


@pytest.mark.parametrize(
    ("designation", "compressor", "kelvin", "verdict"),
    [
        ("R-123", "centrifugal", 7.9, "within"),
        ("R-134a", "centrifugal", 6.7, "within"),
        ("R-1234ze(E)", "centrifugal", 5.4, "within"),
        ("R-134a", "centrifugal", 0.5, "below"),
        ("R-1234yf", "reciprocating", 7.9, "cannot tell"),
        ("R-1234yf", "reciprocating", 1.0, "below"),
        ("R-1234yf", "reciprocating", 15.0, "within"),
        ("R-410A", "scroll", 6.7, "below"),
    ],
)
def test_what_dry_gas_leaves_is_no_proof_of_liquid(
    designation: str, compressor: Compressor, kelvin: float, verdict: str
) -> None:
    found = at(designation, 600e3, kelvin, sh.MarginMachine(compressor), "discharge")
    assert found.verdict == verdict
    if verdict == "cannot tell":
        assert found.likely_reasons == sh.bands().reasons["discharge-differs"]


@pytest.mark.parametrize(
    ("designation", "celsius", "verdict"),
    [
        ("R-410A", 121.1, "above"),
        ("R-22", 130.0, "above"),
        ("R-410A", 90.6, "within"),
        ("R-22", 60.0, "within"),
        ("R-22", 99.9, "cannot tell"),
        ("R-22", 4.0, "below"),
    ],
)
def test_oil_that_is_too_hot_is_never_within(designation: str, celsius: float, verdict: str) -> None:
    """Worst wrong answer: 250 degF in the sump "within", since it stands far enough above saturation."""
    pressure = float(saturation.dew_pressure(designation, 275.15))
    oil = Measured(273.15 + celsius, 1.0)
    found = sh.superheat(designation, Measured(pressure), oil, "sump", sh.MarginMachine("scroll"))
    assert found.verdict == verdict
    if verdict == "above":
        assert found.likely_reasons == sh.bands().reasons["hot-sump"]


def test_oil_at_discharge_pressure_is_as_hot_as_the_gas() -> None:
    """A rotary's shell: 110 degC of R-32 is a sound discharge, and no limit of a sump is known."""
    found = sh.superheat("R-32", Measured(850e3), Measured(383.15, 1.0), "sump", sh.MarginMachine("rotary"))
    assert (found.verdict, found.likely_reasons) == ("no limit known", ())
