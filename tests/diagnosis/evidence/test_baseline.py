"""The machine's own baseline: deviations at like load. Worst first: a baseline of a faulty machine hides its fault."""

from dataclasses import replace
from functools import cache

import pytest
from scipy.optimize import brentq

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.diagnosis.case import RANKING_ONLY, Case, Machine
from witnessmark.diagnosis.catalogue.readings import catalogue, likelihood
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.evidence.baseline import DEVIATIONS, Baseline
from witnessmark.diagnosis.evidence.derive import Derived, derive
from witnessmark.diagnosis.evidence.field_readings import FieldReadings
from witnessmark.diagnosis.result import Diagnosis
from witnessmark.refrigerants import saturation
from witnessmark.vocabulary import Condenser

REFRIGERANT = "R-134a"
CHILLER = Machine("screw", "low-side", "fixed-speed", "semi-hermetic", "three-phase")
ZERO = 273.15


@cache
def pressure(celsius: float) -> float:
    return float(brentq(lambda p: saturation.bubble_temperature(REFRIGERANT, p) - ZERO - celsius, 1e5, 25e5))


def machine_at(
    evaporating: float = 4.0,
    superheat: float = 6.0,
    condensing: float = 35.0,
    subcooling: float = 5.0,
    entering: float = 29.0,
    current: float = 200.0,
) -> FieldReadings:
    """A sound water-cooled chiller condenses 6 K over its entering water; °C and K."""
    return FieldReadings(
        running=True,
        suction_pressure=Measured(pressure(evaporating), 2e3),
        suction_temperature=Measured(evaporating + superheat + ZERO, 0.4),
        discharge_pressure=Measured(pressure(condensing), 6e3),
        liquid_temperature=Measured(condensing - subcooling + ZERO, 0.4),
        outdoor_temperature=Measured(entering + ZERO, 0.3),
        running_current=Measured(current, 2.0),
    )


SOUND = machine_at()
FAULTS = {
    "air-in-circuit": machine_at(condensing=39.0, subcooling=9.0, current=212.0),
    "condenser-heat-rejection": machine_at(condensing=39.0, current=212.0),
    "overcharge": machine_at(condensing=36.0, subcooling=9.0, current=203.0),
    "undercharge": machine_at(evaporating=2.0, superheat=10.0, condensing=34.0, subcooling=1.5, current=195.0),
}
"""Directions of ASHRAE 1043-RP as told (chiller-fault-directions) for the first three; the last: Rossi & Braun 1997."""


def derived(now: FieldReadings, sound: FieldReadings | None = SOUND, condenser: Condenser = "water-cooled") -> Derived:
    return derive(REFRIGERANT, now, machine=CHILLER, condenser=condenser, baseline=Baseline(sound) if sound else None)


def by_id(result: Derived) -> dict[str, Measured]:
    return {r.quantity: Measured(r.value, r.uncertainty) for r in result.readings}


def diagnosed(result: Derived) -> Diagnosis:
    return diagnose(Case(CHILLER, readings=result.readings, ran=True, want=RANKING_ONLY))


@pytest.mark.parametrize("fault", FAULTS)
def test_against_its_baseline_each_fault_of_a_chiller_leads_the_causes(fault: str) -> None:
    assert diagnosed(derived(FAULTS[fault])).causes[0].id == fault


@pytest.mark.parametrize("fault", ["condenser-heat-rejection", "overcharge"])
def test_against_its_baseline_the_evidence_is_as_loud_as_it_is_precise(fault: str) -> None:
    """Three standard deviations of one machine are more than the same kelvin between machines."""
    with_it, without = (
        next(c for c in diagnosed(derived(FAULTS[fault], held)).causes if c.id == fault) for held in (SOUND, None)
    )
    assert with_it.at_work >= 0.35
    assert with_it.at_work > 3 * without.at_work


def test_a_sound_chiller_is_accused_of_nothing() -> None:
    scattered = machine_at(superheat=7.0, condensing=35.5, subcooling=5.3, current=202.0)
    for sound in (SOUND, scattered):
        answer = diagnosed(derived(sound))
        assert answer.verdict.leading == ()
        assert answer.modes[0].probability < 0.1
        assert answer.causes[0].probability < 0.1


def test_a_sound_water_cooled_condenser_is_not_called_too_good() -> None:
    """Wrong answer that hurts: 3.5 K over the water called a lack of charge by the plateau of air-cooled condensers."""
    tight = machine_at(condensing=32.5)
    told: tuple[tuple[Condenser, bool], ...] = (("water-cooled", False), ("air-cooled", True))
    for condenser, accused in told:
        answer = diagnosed(derived(tight, None, condenser))
        weight = next(u.weights for u in answer.used if u.finding == "condensing-pressure")
        assert (weight["low"] > 0) == accused


@pytest.mark.parametrize(("leaving", "told"), [(31.5, False), (27.0, True)])
def test_over_the_leaving_water_where_the_entering_is_not_known(leaving: float, told: bool) -> None:  # noqa: FBT001
    now = replace(SOUND, outdoor_temperature=None, condenser_leaving_temperature=Measured(leaving + ZERO, 0.3))
    answer = diagnosed(derived(now, None))
    weight = next(u.weights for u in answer.used if u.finding == "condensing-pressure")
    assert (weight["high"] > 0) == told
    assert "condensing-over-leaving-water" not in by_id(derived(now, None, "air-cooled"))
    both = replace(now, outdoor_temperature=Measured(29.0 + ZERO, 0.3))
    assert "condensing-over-leaving-water" not in by_id(derived(both, None))


def test_deviations_take_the_place_of_the_numbers_that_they_are_of() -> None:
    found = by_id(derived(machine_at(superheat=9.0)))
    assert found["superheat-against-baseline"].value == pytest.approx(3.0)
    assert found["evaporating-against-baseline"].value == pytest.approx(0.0)
    assert found["current-against-baseline"].value == pytest.approx(1.0)
    assert not set(DEVIATIONS) & set(found)


def test_a_baseline_of_a_faulty_machine_is_not_believed() -> None:
    """Wrong answer that hurts: wet gas at commissioning taken as the measure of wet gas now."""
    wet = machine_at(superheat=0.5)
    result = derived(wet, wet)
    assert "suction-superheat" in by_id(result)
    assert any("Suction superheat" in remark and "not that of a sound machine" in remark for remark in result.remarks)
    weight = next(u.weights for u in diagnosed(result).used if u.finding == "suction-superheat")
    assert weight["low"] > 3


def test_at_another_load_the_usual_range_counts() -> None:
    half = replace(machine_at(superheat=9.0), load=Measured(0.5))
    result = derived(half, replace(SOUND, load=Measured(1.0)))
    assert "suction-superheat" in by_id(result)
    assert any("another load" in remark for remark in result.remarks)
    assert not {"current-against-baseline", "evaporating-against-baseline"} & set(by_id(result))
    alike = derived(half, replace(SOUND, load=Measured(0.6)))
    assert "superheat-against-baseline" in by_id(alike)


def test_unlike_entering_temperatures_widen_every_deviation() -> None:
    apart = by_id(derived(machine_at(condensing=45.0, entering=39.0)))["condensing-against-baseline"]
    alike = by_id(derived(SOUND))["condensing-against-baseline"]
    assert apart.value == pytest.approx(alike.value, abs=1e-6)
    assert apart.uncertainty == pytest.approx((alike.uncertainty**2 + 1.5**2) ** 0.5, rel=0.02)
    bare = replace(SOUND, outdoor_temperature=None)
    assert "condensing-against-baseline" not in by_id(derived(bare))
    assert "superheat-against-baseline" in by_id(derived(bare))


def test_instruments_that_took_both_sets_err_alike() -> None:
    """What a caller's plant sensors say of its own change is finer than what two technicians' probes say."""
    for quantity in ("condensing-against-baseline", "subcooling-against-baseline", "current-against-baseline"):
        probes, sensors = (
            by_id(derive(REFRIGERANT, SOUND, machine=CHILLER, baseline=Baseline(SOUND, same)))[quantity]
            for same in (False, True)
        )
        assert sensors.uncertainty == pytest.approx(0.3 * probes.uncertainty)


def test_what_the_baseline_does_not_hold_is_judged_as_usual() -> None:
    result = derived(SOUND, FieldReadings(liquid_temperature=Measured(303.15)))
    assert {"suction-superheat", "subcooling", "condensing-over-entering-water"} <= set(by_id(result))
    assert "head-over-liquid-against-baseline" not in by_id(derived(replace(SOUND, liquid_temperature=None)))


def test_a_machine_that_does_not_pump_has_no_evaporating_temperature_to_compare() -> None:
    stalled = replace(SOUND, discharge_pressure=Measured(pressure(5.0), 2e3))
    assert "evaporating-against-baseline" not in by_id(derived(stalled))
    assert "evaporating-against-baseline" not in by_id(derived(SOUND, replace(SOUND, running=False)))
    assert "evaporating-against-baseline" in by_id(derived(SOUND, replace(SOUND, running=None)))
    no_fluid = derive(None, SOUND, machine=CHILLER, baseline=Baseline(SOUND))
    assert "evaporating-against-baseline" not in by_id(no_fluid)


def test_a_baseline_that_cannot_be_worked_out_is_set_aside() -> None:
    absurd = replace(SOUND, suction_pressure=Measured(10.0, 1.0), suction_temperature=None)
    result = derived(SOUND, absurd)
    assert any(aside.readings == ("suction_pressure",) for aside in result.set_aside)
    worse = derived(SOUND, replace(SOUND, suction_pressure=Measured(10.0, 1.0)))
    assert any("of the baseline" in aside.why for aside in worse.set_aside)


@pytest.mark.parametrize(("sound", "expected"), [(400.0, True), (0.0, False)])
def test_the_current_is_held_against_that_of_the_sound_machine(sound: float, expected: bool) -> None:  # noqa: FBT001
    now = FieldReadings(running_current=Measured(200.0, 2.0))
    base = FieldReadings(running_current=Measured(sound, 2.0))
    assert ("current-against-baseline" in by_id(derive(None, now, baseline=Baseline(base)))) == expected
    told = replace(now, expected_current=Measured(210.0))
    assert "current-against-baseline" not in by_id(derive(None, told, baseline=Baseline(base)))
    assert "current-against-baseline" not in by_id(derive(None, FieldReadings(), baseline=Baseline(base)))


def test_a_hot_day_draws_more_current_and_is_no_fault() -> None:
    """Worst: commissioned at 20 °C, read at 40 °C, and the bearings are suspected for the current."""
    now = FieldReadings(running_current=Measured(12.5, 0.2), outdoor_temperature=Measured(313.0, 0.5))
    cool = FieldReadings(running_current=Measured(10.0, 0.2), outdoor_temperature=Measured(293.0, 0.5))
    alike = replace(cool, outdoor_temperature=Measured(313.0, 0.5))
    hot, same = (
        by_id(derive(None, now, baseline=Baseline(base)))["current-against-baseline"] for base in (cool, alike)
    )
    assert hot.value == same.value == pytest.approx(1.25)
    assert hot.uncertainty > 0.25
    assert same.uncertainty < 0.1
    row = catalogue()["current-against-baseline"]
    telling = [likelihood(row, one.value, one.uncertainty, 0.02) for one in (hot, same)]
    assert telling[0][2] / telling[0][0] < 3 < telling[1][2] / telling[1][0]


def test_a_deviation_that_no_machine_has_is_set_aside_and_the_rest_judged_as_usual() -> None:
    """Else one slip of a unit in the baseline would refuse the whole call."""
    base = FieldReadings(running_current=Measured(0.2, 0.01), net_oil_pressure=Measured(-49e5, 1e3))
    now = FieldReadings(running_current=Measured(200.0, 2.0), net_oil_pressure=Measured(90e5, 1e3))
    result = derive(None, now, baseline=Baseline(base))
    assert {aside.readings for aside in result.set_aside} == {("running_current",)}
    assert set(by_id(result)) == {"net-oil-pressure"}
    close = derive(None, now, baseline=Baseline(replace(base, net_oil_pressure=Measured(-12e5, 20e5))))
    assert ("net_oil_pressure",) in {aside.readings for aside in close.set_aside}
    assert by_id(close)["net-oil-pressure"].value == 90e5


def test_windings_that_were_always_a_little_unequal_are_not_called_unequal() -> None:
    """Wrong answer that hurts: concentric windings, 6 % unequal by make, called burnt."""
    coils = FieldReadings(winding_resistances=(Measured(2.0, 0.005), Measured(2.0, 0.005), Measured(2.2, 0.005)))
    without, with_it = (
        derive(None, coils, machine=CHILLER),
        derive(None, coils, machine=CHILLER, baseline=Baseline(coils)),
    )
    weights = [
        next(u.weights for u in diagnosed(result).used if u.finding == "winding-resistances-unequal")["present"]
        for result in (without, with_it)
    ]
    assert weights[0] > 3
    assert weights[1] < -3


@pytest.mark.parametrize(("sound", "told"), [(2e9, True), (1e8, False), (0.0, False)])
def test_insulation_that_fell_far_is_worth_a_word(sound: float, told: bool) -> None:  # noqa: FBT001
    now = FieldReadings(insulation_resistance=Measured(2e7))
    result = derive(None, now, baseline=Baseline(FieldReadings(insulation_resistance=Measured(sound))))
    assert any("has fallen to 0.01" in remark for remark in result.remarks) == told
    assert by_id(result)["insulation-resistance"].value == 2e7


def test_insulation_without_a_baseline_of_it_says_nothing_of_a_trend() -> None:
    now = FieldReadings(insulation_resistance=Measured(2e7))
    assert not any("fallen" in remark for remark in derive(None, now, baseline=Baseline(FieldReadings())).remarks)


PISTONS = Machine("reciprocating", None, "fixed-speed", "semi-hermetic", "three-phase")


def of_pistons(hot: float, *, line: float = 2.0, low: float = -8.0, wet: float = 78.0) -> Derived:
    """R-134a at -8/42 °C with a discharge of `hot`, °C; `wet`: the discharge of the baseline."""

    def read(discharge: float, suction: float, evaporating: float) -> FieldReadings:
        return FieldReadings(
            running=True,
            suction_pressure=Measured(pressure(evaporating), 3e3),
            suction_temperature=Measured(suction + ZERO, 0.6),
            discharge_pressure=Measured(pressure(42.0), 8e3),
            discharge_temperature=Measured(discharge + ZERO, 0.8),
        )

    return derive(REFRIGERANT, read(hot, line, low), machine=PISTONS, baseline=Baseline(read(wet, 2.0, -8.0)))


def of_case(result: Derived) -> Diagnosis:
    return diagnose(Case(PISTONS, readings=result.readings, ran=True, want=RANKING_ONLY))


def state(result: Derived, finding: str) -> dict[str, float]:
    return dict(next((u.weights for u in of_case(result).used if u.finding == finding), {}))


@pytest.mark.parametrize("hot", [96.0, 100.0, 104.0])
def test_a_discharge_hotter_than_when_sound_tells_of_gas_compressed_again(hot: float) -> None:
    result = of_pistons(hot)
    assert by_id(result)["efficiency-against-baseline"].value < 0.8
    assert state(result, "discharge-hot-for-itself")["present"] > 5
    modes = {m.id: m.probability for m in of_case(result).modes}
    sound = {m.id: m.probability for m in of_case(of_pistons(78.0)).modes}
    assert modes["valve-failure"] > 2 * sound["valve-failure"]


@pytest.mark.parametrize("hot", [55.0, 58.0])
def test_a_discharge_colder_than_when_sound_tells_of_liquid(hot: float) -> None:
    result = of_pistons(hot)
    assert "discharge-superheat" not in by_id(result)
    assert state(result, "discharge-superheat-low")["present"] > 5
    modes = {m.id: m.probability for m in of_case(result).modes}
    assert max(modes, key=lambda key: modes[key]) == "liquid-floodback"


def test_a_discharge_that_superheat_explains_is_no_deviation() -> None:
    warm = of_pistons(91.0, line=14.0)
    assert by_id(warm)["efficiency-against-baseline"].value == pytest.approx(1, abs=0.12)


def test_a_discharge_is_held_against_no_other_ratio_and_no_wet_baseline() -> None:
    assert "efficiency-against-baseline" not in by_id(of_pistons(90.0, low=-18.0, line=-8.0))
    assert "efficiency-against-baseline" not in by_id(of_pistons(78.0, wet=48.0))
