"""Wet suction: a made-up wet machine is found again, and the answer widens with what is not known."""

from dataclasses import replace

import numpy as np
import pytest

from witnessmark.calculations.circuit.superheat import basis_uncertainty
from witnessmark.calculations.compressor import wet_suction as w
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.errors import ConflictError, InputError, OutOfRangeError
from witnessmark.refrigerants import saturation, states

P1, P2, LOSS = 900e3, 2.7e6, 0.07
SCROLL, SCREW = w.WetSuctionMachine(compressor="scroll"), w.WetSuctionMachine(compressor="screw")


def plain(low: float, high: float) -> w.WetSuctionMachine:
    """A machine of this band of efficiency in which nothing cools the gas."""
    return w.WetSuctionMachine(w.Interval(low, high), cooling="none")


def discharge(designation: str, quality: float, efficiency: float) -> float:
    """Forward model: the discharge temperature that a wet suction would give."""
    one = states.two_phase(designation, P1, quality)
    work = states.at_entropy(designation, P2, one.entropy).enthalpy - one.enthalpy
    return states.at_enthalpy(designation, P2, one.enthalpy + (1 - LOSS) * work / efficiency).temperature


def readings(temperature: float, width: float = 0.0) -> w.WetSuctionReadings:
    return w.WetSuctionReadings(Measured(P1, 1e3 * width), Measured(P2, 1e3 * width), Measured(temperature, width))


@pytest.mark.parametrize("designation", ["R-410A", "R-32", "R-448A", "R-454B"])
@pytest.mark.parametrize("quality", [0.90, 0.95])
def test_recovers_the_quality_of_a_wet_machine(designation: str, quality: float) -> None:
    """At the true efficiency the interval holds the true quality, and is as narrow as loss and basis allow."""
    temperature = discharge(designation, quality, 0.7)
    found = w.infer(designation, readings(temperature), plain(0.7, 0.7))
    assert found.quality.low <= quality <= found.quality.high
    assert found.quality.high - found.quality.low < 0.06
    assert (found.quality.low + found.quality.high) / 2 == pytest.approx(quality, abs=2e-3)
    assert found.verdict == "wet"
    assert (found.superheat.low, found.superheat.high) == (0.0, 0.0)


def test_band_of_efficiency_widens_the_interval() -> None:
    temperature = discharge("R-410A", 0.93, 0.7)
    narrow = w.infer("R-410A", readings(temperature), plain(0.65, 0.75)).quality
    wide = w.infer("R-410A", readings(temperature), plain(0.55, 0.80)).quality
    assert wide.low < narrow.low < 0.93 < narrow.high < wide.high


def test_a_band_that_reaches_dry_gas_cannot_tell() -> None:
    temperature = discharge("R-410A", 0.99, 0.675)
    found = w.infer("R-410A", readings(temperature, 1.0), w.WetSuctionMachine(compressor="scroll"))
    assert found.verdict == "cannot tell"
    assert found.quality.high == 1.0
    assert found.superheat.low == 0.0
    assert found.superheat.high > 3


def test_hot_discharge_is_dry() -> None:
    found = w.infer("R-410A", readings(372.0, 1.0), w.WetSuctionMachine(compressor="scroll"))
    assert (found.verdict, found.quality) == ("dry", w.Interval(1.0, 1.0))
    assert found.superheat.low > 10


def test_discharge_near_dew_leaves_the_low_end_open() -> None:
    dew = states.saturated_vapour("R-410A", P2).temperature
    found = w.infer("R-410A", readings(dew - 0.3, 1.0), SCROLL)
    assert found.discharge_may_be_wet
    assert found.quality.low == 0.0
    assert found.verdict == "wet"


def test_what_dry_gas_would_give() -> None:
    """At efficiencies 0.8 and 0.6, by the R-410A equation of Lemmon, Int. J. Thermophys. 24 (2003) 991."""
    found = w.infer("R-410A", readings(330.0), plain(0.6, 0.8))
    assert found.dry_discharge_temperature is not None
    assert found.dry_discharge_temperature.low == pytest.approx(338.455, abs=2e-3)
    assert found.dry_discharge_temperature.high == pytest.approx(347.300, abs=2e-3)


def test_dry_gas_beyond_the_equations_is_left_out() -> None:
    hot = w.WetSuctionReadings(Measured(1e5), Measured(1.5e6), Measured(450.0))
    assert w.infer("R-717", hot, plain(0.2, 0.3)).dry_discharge_temperature is None


def test_transcritical_discharge() -> None:
    found = w.infer("R-744", w.WetSuctionReadings(Measured(3.5e6), Measured(9.5e6), Measured(340.0)), SCROLL)
    assert not found.discharge_may_be_wet
    assert found.verdict == "wet"


def test_uncertainty_agrees_with_random_draws_within_5_percent() -> None:
    """GUM supplement 1: 500 draws of readings and shell loss at one efficiency (sampling error 3.2 %)."""
    temperature = 326.0
    centre = w.WetSuctionReadings(Measured(350e3, 4e3), Measured(1.2e6, 8e3), Measured(temperature, 1.0))
    found = w.infer("R-134a", centre, plain(0.7, 0.7))
    assert found.verdict == "wet"
    generator = np.random.default_rng(6)
    wide = float(np.hypot(1.0, basis_uncertainty("R-134a")))
    drawn = []
    for _ in range(500):
        values = {
            "suction_pressure": generator.normal(350e3, 4e3),
            "discharge_pressure": generator.normal(1.2e6, 8e3),
            "discharge_temperature": generator.normal(temperature, wide),
            "loss": generator.normal(LOSS, 0.04),
        }
        drawn.append(w.solve("R-134a", values, 0.7))
    assert (found.quality.high - found.quality.low) / 4 == pytest.approx(float(np.std(drawn)), rel=0.05)


@pytest.mark.parametrize("band", [w.Interval(0.05, 0.8), w.Interval(0.5, 1.2)])
def test_efficiency_range(band: w.Interval) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        w.infer("R-410A", readings(350.0), w.WetSuctionMachine(band))
    assert caught.value.field == "efficiency"


def test_efficiency_band_upside_down() -> None:
    with pytest.raises(InputError) as caught:
        w.infer("R-410A", readings(350.0), plain(0.8, 0.5))
    assert caught.value.field == "efficiency"


def test_no_pressure_rise_is_a_conflict() -> None:
    with pytest.raises(ConflictError) as caught:
        w.infer("R-410A", w.WetSuctionReadings(Measured(P1), Measured(P1), Measured(350.0)))
    assert caught.value.fields == ("discharge_pressure", "suction_pressure")


def test_a_discharge_clearly_below_dew_is_a_conflict() -> None:
    with pytest.raises(ConflictError) as caught:
        w.infer("R-410A", readings(300.0, 1.0))
    assert caught.value.field == "discharge_temperature"


def test_a_suction_pressure_out_of_range_is_named() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        w.infer("R-410A", w.WetSuctionReadings(Measured(10.0), Measured(P2), Measured(350.0)))
    assert caught.value.field == "suction_pressure"


@pytest.mark.parametrize("bad", [Measured(-1.0), Measured(1e5, 2e5)])
def test_readings_must_be_positive_and_known(bad: Measured) -> None:
    with pytest.raises(InputError) as caught:
        w.infer("R-410A", w.WetSuctionReadings(bad, Measured(P2), Measured(350.0)))
    assert caught.value.field == "suction_pressure"


def test_colder_than_compressed_liquid_is_a_conflict() -> None:
    """Supercritical discharge, so no dew temperature stands guard: even liquid would come out hotter than this."""
    with pytest.raises(ConflictError) as caught:
        w.infer("R-744", w.WetSuctionReadings(Measured(6.5e6), Measured(19e6), Measured(305.0)))
    assert caught.value.fields == ("discharge_temperature", "discharge_pressure", "suction_pressure")


def test_a_reading_at_the_end_of_its_range_takes_the_other_side() -> None:
    lowest = saturation.pressure_range("R-134a", "bubble")[0]
    found = w.infer("R-134a", w.WetSuctionReadings(Measured(lowest, 200.0), Measured(1.2e6), Measured(400.0, 1.0)))
    assert found.verdict in {"dry", "cannot tell"}


def test_no_answer_near_the_readings_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(w, "propagate_all", lambda *_: {})
    with pytest.raises(InputError, match="none near"):
        w.infer("R-410A", readings(350.0))


def test_superheat_never_passes_the_state_that_leaves_no_work() -> None:
    """A discharge reading that is hardly known: the interval ends where suction and discharge enthalpy are equal."""
    found = w.infer(
        "R-454B", w.WetSuctionReadings(Measured(920e3), Measured(2.7e6), Measured(500.0, 100.0)), plain(0.6, 0.75)
    )
    hot = states.at_enthalpy("R-454B", 920e3, states.gas("R-454B", 2.7e6, 500.0).enthalpy)
    dew = states.saturated_vapour("R-454B", 920e3).temperature
    assert found.superheat.high == pytest.approx(hot.temperature - dew)


@pytest.mark.parametrize(("hot", "told"), [(360.0, False), (412.0, True)])
def test_gas_hotter_than_the_data_is_told(hot: float, *, told: bool) -> None:
    """The data behind R-454B end at 410 K."""
    assert w.infer("R-454B", readings(hot, 1.0), w.WetSuctionMachine(compressor="scroll")).extrapolated == told


def test_beyond_the_equations_only_the_reading_counts() -> None:
    found = w.infer("R-717", w.WetSuctionReadings(Measured(1e5), Measured(1.5e6), Measured(443.0)), plain(0.2, 0.3))
    assert found.dry_discharge_temperature is None
    assert not found.extrapolated


@pytest.mark.parametrize(("quality", "temperature"), [(0.90, 329.7241), (0.95, 342.6383)])
def test_wet_suction_of_a_published_equation(quality: float, temperature: float) -> None:
    """R-32 from 900 kPa to 2.7 MPa, efficiency 0.7, 7 % of the work lost.

    Tillner-Roth and Yokozeki, J. Phys. Chem. Ref. Data 26 (1997) 1273, evaluated once by itself.
    """
    found = w.infer("R-32", readings(temperature), plain(0.7, 0.7)).quality
    assert (found.low + found.high) / 2 == pytest.approx(quality, abs=1e-4)


def psig(value: float) -> Measured:
    """Standard atmosphere added; known to 10 kPa."""
    return Measured((value + 14.696) * 6894.757, 1e4)


def fahrenheit(value: float) -> Measured:
    return Measured((value + 459.67) / 1.8, 1.5)


COOL_AND_SOUND = [
    ("R-717", 20.0, 180.0, 170.0),
    ("R-22", 60.0, 225.0, 140.0),
]
"""Oil-cooled screws in good order, psig and degF: refrigerant, suction, discharge, discharge temperature."""


@pytest.mark.parametrize(("refrigerant", "low", "high", "hot"), COOL_AND_SOUND)
@pytest.mark.parametrize(
    "machine", [SCREW, w.WetSuctionMachine(), w.WetSuctionMachine(cooling="oil"), w.WetSuctionMachine(cooling="liquid")]
)
def test_a_normal_screw_is_not_wet(
    refrigerant: str, low: float, high: float, hot: float, machine: w.WetSuctionMachine
) -> None:
    """Worst wrong answer: "find why it floods" of a machine whose oil cools the gas, said or not."""
    found = w.infer(refrigerant, w.WetSuctionReadings(psig(low), psig(high), fahrenheit(hot)), machine)
    assert found.verdict == "cannot tell"


def test_the_same_readings_of_a_dry_screw_are_wet() -> None:
    found = w.infer(
        "R-22", w.WetSuctionReadings(psig(60), psig(225), fahrenheit(140)), w.WetSuctionMachine(None, "screw", "none")
    )
    assert (found.verdict, found.cooling) == ("wet", "none")


def test_a_discharge_near_dew_proves_liquid_where_nothing_is_known_of_the_machine() -> None:
    """R-410A at 2.7 MPa: dew 317 K; 325 K lies within 11 K of it, 335 K does not, and both are colder than dry gas."""
    near, far = (w.infer("R-410A", readings(t, 0.5)) for t in (324.0, 332.0))
    assert (near.verdict, far.verdict) == ("wet", "cannot tell")
    assert near.quality.high < 1
    assert far.quality.high < 1
    assert w.infer("R-410A", readings(332.0, 0.5), SCROLL).verdict == "wet"


def with_line(superheat: float, hot: float, width: float = 0.5) -> w.WetSuctionReadings:
    dew = float(saturation.dew_temperature("R-410A", P1))
    known = readings(hot, 1.0)
    return w.WetSuctionReadings(
        known.suction_pressure, known.discharge_pressure, known.discharge_temperature, Measured(dew + superheat, width)
    )


def test_a_warm_suction_line_shows_dry_gas() -> None:
    """The discharge alone cannot tell: 5 K of superheat at an efficiency of 0.7."""
    undecided = discharge("R-410A", 1.0, 0.7) + 5.0
    assert w.infer("R-410A", readings(undecided, 1.0), SCROLL).verdict == "cannot tell"
    found = w.infer("R-410A", with_line(5.0, undecided), SCROLL)
    assert (found.verdict, found.shown_dry, found.quality) == ("dry", True, w.Interval(1.0, 1.0))
    assert found.line_superheat is not None
    assert found.line_superheat.value == pytest.approx(5.0)


@pytest.mark.parametrize(("superheat", "width"), [(1.5, 0.5), (5.0, 2.1), (-3.0, 0.5)])
def test_a_line_that_may_be_drops_on_a_warm_pipe_shows_nothing(superheat: float, width: float) -> None:
    """The uncertainty twice, and 1 K besides."""
    undecided = discharge("R-410A", 1.0, 0.7) + 5.0
    found = w.infer("R-410A", with_line(superheat, undecided, width), SCROLL)
    assert (found.verdict, found.shown_dry) == ("cannot tell", False)


def test_liquid_by_the_balance_outranks_a_warm_line() -> None:
    """Worst wrong answer: "dry" because the clamp sits loose while the discharge is colder than any dry gas."""
    found = w.infer("R-410A", with_line(8.0, discharge("R-410A", 0.9, 0.7)), SCROLL)
    assert (found.verdict, found.shown_dry) == ("wet", False)
    unknown = w.infer("R-410A", with_line(8.0, 332.0))
    assert (unknown.verdict, unknown.shown_dry) == ("cannot tell", False)


@pytest.mark.parametrize(
    ("designation", "low", "high"), [("R-744", 2.8e6, 4.5e6), ("R-410A", P1, P2), ("R-134a", 3e5, 1.1e6)]
)
@pytest.mark.parametrize("quality", [0.98, 0.95, 0.90])
@pytest.mark.parametrize("efficiency", [0.55, 0.65, 0.75])
def test_a_line_16_k_warm_makes_no_dry_gas_of_liquid(
    designation: str, low: float, high: float, quality: float, efficiency: float
) -> None:
    """Worst wrong answer: "dry" while liquid comes in, since the clamp sits loose or the pipe is warm."""
    one = states.two_phase(designation, low, quality)
    work = states.at_entropy(designation, high, one.entropy).enthalpy - one.enthalpy
    hot = states.at_enthalpy(designation, high, one.enthalpy + (1 - LOSS) * work / efficiency).temperature
    line = float(saturation.dew_temperature(designation, low)) + 16.0
    read = w.WetSuctionReadings(Measured(low, 1e4), Measured(high, 1.7e4), Measured(hot, 1.2), Measured(line, 1.0))
    found = w.infer(designation, read, w.WetSuctionMachine(compressor="reciprocating"))
    assert found.verdict != "dry"
    assert found.line_too_warm or found.verdict == "wet"


@pytest.mark.parametrize("superheat", [5.0, 8.0, 16.0, 25.0])
@pytest.mark.parametrize("efficiency", [0.62, 0.68, 0.74])
def test_a_line_that_the_discharge_bears_out_shows_dry_gas(superheat: float, efficiency: float) -> None:
    for designation, low, high in (("R-410A", P1, P2), ("R-744", 2.8e6, 9e6), ("R-134a", 3e5, 1.1e6)):
        gas = states.at_temperature(designation, low, float(saturation.dew_temperature(designation, low)) + superheat)
        work = states.at_entropy(designation, high, gas.entropy).enthalpy - gas.enthalpy
        hot = states.at_enthalpy(designation, high, gas.enthalpy + (1 - LOSS) * work / efficiency).temperature
        read = w.WetSuctionReadings(
            Measured(low, 1e4), Measured(high, 1.7e4), Measured(hot, 1.2), Measured(gas.temperature, 1.0)
        )
        found = w.infer(designation, read, w.WetSuctionMachine(compressor="reciprocating"))
        assert (found.verdict, found.line_too_warm) == ("dry", False), designation


def test_a_discharge_that_injection_may_hold_proves_no_liquid() -> None:
    """R-22 from -31 to 50 °C: dry gas would leave at 130 °C and more; injected liquid holds it at some 100 °C."""
    low, high = (float(saturation.dew_pressure("R-22", t + 273.15)) for t in (-31.0, 50.0))
    machine = w.WetSuctionMachine(compressor="reciprocating")

    def said(hot: float, one: w.WetSuctionMachine = machine) -> str:
        read = w.WetSuctionReadings(Measured(low, 5e3), Measured(high, 1.5e4), Measured(hot + 273.15, 1.2))
        return w.infer("R-22", read, one).verdict

    assert said(95.0) == "cannot tell"
    assert said(95.0, replace(machine, cooling="none")) == "wet"
    assert said(75.0) == "wet"


def test_a_shared_error_moves_both_pressures() -> None:
    alone = w.WetSuctionReadings(Measured(P1), Measured(P2), Measured(330.0))
    shared = w.WetSuctionReadings(Measured(P1), Measured(P2), Measured(330.0), air=Measured(0.0, 20e3))
    apart = w.WetSuctionReadings(Measured(P1, 20e3), Measured(P2, 20e3), Measured(330.0))
    widths = [(q := w.infer("R-410A", r, plain(0.7, 0.7)).quality).high - q.low for r in (alone, shared, apart)]
    assert widths[0] < widths[1] < widths[2]


@pytest.mark.parametrize(
    ("low", "high", "hot"),
    [
        (0.2907e6, 1.351e6, 95.0),
        (0.2907e6, 1.351e6, 110.0),
        (0.12e6, 1.0e6, 115.0),
        (0.43e6, 1.17e6, 72.0),
    ],
)
@pytest.mark.parametrize("line", [None, -2.0])
def test_an_ammonia_piston_machine_whose_heads_may_be_cooled_is_not_wet(
    low: float, high: float, hot: float, line: float | None
) -> None:
    """Worst wrong answer: a sound machine stopped, water in its heads."""
    unsaid = w.infer("R-717", ammonia(low, high, hot, line), w.WetSuctionMachine(compressor="reciprocating"))
    assert (unsaid.verdict != "wet", unsaid.cooling, unsaid.heads) == (True, None, True)
    bare = w.infer("R-717", ammonia(low, high, hot, line), w.WetSuctionMachine(None, "reciprocating", "none"))
    assert bare.quality.high <= unsaid.quality.high
    assert not bare.heads


def ammonia(low: float, high: float, hot: float, line: float | None = None) -> w.WetSuctionReadings:
    """Pa absolute, degC."""
    taken = w.WetSuctionReadings(Measured(low, 5e3), Measured(high, 1e4), Measured(hot + 273.15, 1.0))
    return replace(taken, suction_temperature=None if line is None else Measured(line + 273.15, 0.5))


@pytest.mark.parametrize(
    ("low", "high", "hot"),
    [
        (0.2907e6, 1.351e6, 65.0),
        (0.2907e6, 1.351e6, 45.0),
        (0.12e6, 1.0e6, 60.0),
        (0.43e6, 1.17e6, 35.0),
    ],
)
def test_no_water_in_the_heads_explains_a_discharge_far_too_cold(low: float, high: float, hot: float) -> None:
    """Dry gas leaves such a machine at 90 to 150 degC: the other worst answer, liquid taken for cooling water."""
    assert w.infer("R-717", ammonia(low, high, hot), w.WetSuctionMachine(compressor="reciprocating")).verdict == "wet"


def test_ammonia_near_its_dew_temperature_is_wet_whatever_cools_the_heads() -> None:
    """1.351 MPa: dew at 35 degC. Water in the heads does not bring the gas there, liquid does."""
    taken = w.WetSuctionReadings(Measured(0.2907e6, 5e3), Measured(1.351e6, 1e4), Measured(41 + 273.15, 1.0))
    assert w.infer("R-717", taken, w.WetSuctionMachine(compressor="reciprocating")).verdict == "wet"


def test_a_line_colder_than_boiling_liquid_proves_nothing() -> None:
    """R-410A, 118 and 350 psig, 190 degF, line at -30 degF: superheat says that these cannot both be right."""
    read = w.WetSuctionReadings(
        Measured(0.915e6, 5e3), Measured(2.515e6, 1e4), Measured(360.93, 1.0), Measured(238.7, 1.0)
    )
    found = w.infer("R-410A", read, SCROLL)
    assert (found.verdict, found.line_contradicts) == ("cannot tell", True)
