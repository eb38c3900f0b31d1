"""The curves hold what they promise: shares, physics, and the same curves for ever."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from tests.evaluation.vacuum.curves import KINDS, SEEDS, Drawn, digest, draw, drawn, samples
from tests.evaluation.vacuum.physics import MICRON_PA, Array, Circuit, FreeWater, parts, saturation_at

SEALED = Path(__file__).with_name("SEALED.txt")
HALF_DAY = np.linspace(0, 12 * 3600, 145)


@cache
def every() -> tuple[Drawn, ...]:
    return tuple(drawn(SEEDS[0]))


def of(*kinds: str) -> list[Drawn]:
    return [one for one in every() if one.sample.truth.kind in kinds]


def grouped(group: str) -> list[Drawn]:
    return [one for one in every() if one.sample.truth.group == group]


def steady(circuit: Circuit) -> Circuit:
    return replace(circuit, climate=replace(circuit.climate, swing="steady"))


def slope(times: Array, pressures: Array) -> float:
    return float(np.polyfit(times, pressures, 1)[0])


def test_there_are_as_many_as_promised() -> None:
    good, bad, between = grouped("good"), grouped("bad"), grouped("between")
    assert len(bad) >= 2000
    assert len(good) >= 1200
    assert len(between) >= 800
    long = [s for s in (one.sample for one in good) if len(s.times_s) >= 6 and s.times_s[-1] >= 1800]
    assert len(long) >= 800
    assert {kind.name for kind in KINDS} == {one.sample.truth.kind for one in every()}


def test_truth_is_what_its_group_says() -> None:
    assert all(one.sample.truth.bad for one in grouped("bad"))
    for one in grouped("good"):
        assert one.sample.truth.leak_ratio <= 0.2
        assert not one.sample.truth.wet
    for one in every():
        truth, circuit = one.sample.truth, one.circuit
        assert truth.leak_ratio * one.sample.limit_pa_m3_s == circuit.leak_pa_m3_s
        assert truth.wet == (circuit.water is not None)


def test_leaks_are_even_in_their_logarithm_from_2_to_500() -> None:
    ratios = [one.sample.truth.leak_ratio for one in of("leak", "outgassing_then_leak", "leak_and_free_water")]
    counts = np.histogram(np.log(ratios), bins=np.linspace(np.log(2), np.log(500), 6))[0]
    assert counts.sum() == len(ratios)
    assert counts.min() > 0.75 * counts.mean()


def test_readings_are_such_as_a_technician_takes() -> None:
    for sample in (one.sample for one in every()):
        times, pressures = np.array(sample.times_s), np.array(sample.pressures_pa)
        assert 2 <= times.size == pressures.size <= 60
        assert times[0] == 0
        assert np.diff(times).min() >= 60
        assert np.diff(times).max() <= 900
        assert times[-1] <= 12 * 3600
        assert 0.001 <= sample.volume_m3 <= 0.5
        steps = pressures / sample.step_pa
        assert np.abs(steps - np.rint(steps)).max() < 1e-4
        assert steps.min() > 0.99


def test_a_hold_ends_early_only_where_the_gauge_ends() -> None:
    for one in every():
        if one.sample.times_s[-1] < 595:
            assert one.sample.truth.bad
            assert one.sample.pressures_pa[-1] > 0.99 * one.gauge.top_pa


def test_told_temperatures_are_up_to_10_k_off() -> None:
    off = [one.sample.coldest_k - one.circuit.climate.cold_k for one in every()]
    off += [one.sample.gas_k - one.circuit.climate.gas_k for one in every()]
    assert 9 < np.abs(off).max() <= 10.06
    assert 0.4 < np.mean(np.abs(off) < 1.06) < 0.65


def test_a_good_circuit_levels() -> None:
    for one in grouped("good"):
        total = parts(steady(replace(one.circuit, leak_pa_m3_s=0)), HALF_DAY).total
        rises = np.diff(total[::36])
        assert rises.min() >= 0
        assert rises[-1] < 0.25 * rises[0]
        assert total[-1] - total[0] <= 40
        assert 79 * MICRON_PA < total[0] < 801 * MICRON_PA


def test_the_tail_of_a_leak_rises_by_q_over_v() -> None:
    tried = 0
    for one in of("leak", "outgassing_then_leak", "leak_in_the_tail"):
        circuit = steady(one.circuit)
        curve = parts(circuit, HALF_DAY)
        rate = circuit.leak_pa_m3_s / circuit.volume_m3
        if curve.air[-1] < 5000 and max(source.settling_s for source in circuit.outgassing) < 3600:
            tried += 1
            outgassed = 80 * np.exp(-9) / 3600  # the most that is left after nine hours
            assert abs(slope(HALF_DAY[-36:], curve.total[-36:]) - rate) < 0.01 * rate + outgassed
    assert tried > 300


def test_the_tail_rises_by_q_over_v_as_read_within_its_noise() -> None:
    beyond = []
    for one in of("leak", "leak_in_the_tail"):
        times, seen = np.array(one.sample.times_s), np.array(one.sample.pressures_pa)
        steady_climate = one.circuit.climate.swing == "steady"
        if times.size < 20 or times[-1] < 5400 or not steady_climate or seen[-1] > 2000:
            continue
        tail, grid = slice(times.size // 2, None), np.linspace(0, times[-1], 601)
        gas = np.interp(times, grid, parts(one.circuit, grid).gas)
        spread = np.hypot(one.gauge.scatter * seen[tail].mean(), one.gauge.step_pa / 12**0.5)
        error = spread / (times[tail].std() * len(times[tail]) ** 0.5)
        rate = one.circuit.leak_pa_m3_s / one.circuit.volume_m3
        beyond.append((slope(times[tail], (seen - gas)[tail]) - rate) / error)
    assert len(beyond) > 150
    assert np.mean(np.abs(beyond) < 3) > 0.97
    assert abs(np.median(beyond)) < 0.3


def test_water_never_exceeds_saturation_at_the_coldest_spot() -> None:
    for one in every():
        if one.circuit.water is not None:
            grid = np.linspace(0, one.sample.times_s[-1], 601)
            curve = parts(one.circuit, grid)
            assert np.all(curve.water <= curve.ceiling)
            assert np.all(curve.gas >= 0)
            assert curve.total[0] < 801 * MICRON_PA


def test_water_as_read_exceeds_saturation_by_its_noise_only() -> None:
    tried = [one for one in of("free_water", "wet_oil") if one.circuit.climate.swing == "steady"]
    excess = []
    for one in tried:
        times, seen = np.array(one.sample.times_s), np.array(one.sample.pressures_pa)
        grid = np.linspace(0, times[-1], 601)
        curve = parts(one.circuit, grid)
        other = np.interp(times, grid, curve.gas + curve.air)
        allowed = one.gauge.step_pa / 2 + 20 * MICRON_PA + 4.5 * one.gauge.scatter * (other + curve.ceiling[0])
        excess.append(np.max(seen - other - curve.ceiling[0] - allowed))
    assert len(tried) > 300
    assert max(excess) <= 0


def test_a_puddle_comes_to_saturation() -> None:
    puddles = 0
    for one in of("free_water"):
        water, circuit = one.circuit.water, steady(one.circuit)
        assert isinstance(water, FreeWater)
        if water.most_pa > saturation_at(circuit.climate.cold_k) and water.warming_s < 3600:
            puddles += 1
            curve = parts(circuit, HALF_DAY)
            assert curve.water[-1] > 0.99 * curve.ceiling[-1]
    assert puddles > 100


def test_saturation_is_that_of_water() -> None:
    assert abs(saturation_at(273.15) - 611) < 2
    assert abs(saturation_at(293.15) - 2339) < 15
    assert abs(saturation_at(253.15) - 103) < 1


def test_the_same_seed_gives_the_same_curves_one_by_one_and_in_any_order() -> None:
    expected = {(one.sample.truth.kind, one.sample.times_s, one.sample.pressures_pa) for one in every()}
    for place, kind in reversed(list(enumerate(KINDS))):
        again, other = draw(SEEDS[0], place, 7).sample, draw(SEEDS[1], place, 7).sample
        assert (kind.name, again.times_s, again.pressures_pa) in expected
        assert (again.times_s, again.pressures_pa) != (other.times_s, other.pressures_pa)
    assert len(expected) > 0.999 * len(every())


def test_the_limit_scales_the_leaks() -> None:
    strict, lax = draw(SEEDS[0], 0, 0, limit=1e-6), draw(SEEDS[0], 0, 0, limit=1e-5)
    assert strict.sample.truth == lax.sample.truth
    assert np.isclose(10 * strict.circuit.leak_pa_m3_s, lax.circuit.leak_pa_m3_s)


@pytest.mark.slow
def test_the_sealed_curves_are_still_those_that_were_sealed() -> None:
    found = re.fullmatch(r"seed (\d+)\nsha256 ([0-9a-f]{64})\n", SEALED.read_text(encoding="utf-8"))
    assert found is not None
    assert int(found[1]) not in SEEDS
    assert digest(samples(int(found[1]))) == found[2]
