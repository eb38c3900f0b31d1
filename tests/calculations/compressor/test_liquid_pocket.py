"""Mechanics of liquid in a closing pocket."""

from __future__ import annotations

import math

import pytest

from witnessmark.calculations.compressor.liquid_pocket import (
    Gaps,
    Work,
    escape_volume,
    expelling_pressure,
    liquid_share,
    load_factor,
    locking_share,
    quality_at_load,
    quality_at_share,
    shaft_work,
)

GAPS = Gaps(4e-6, 0.6, 1.25)
WORK = Work(1.12, 3.0, 0.06)


@pytest.mark.parametrize("quality", [0.0, 0.03, 0.5, 1.0])
def test_share_and_quality_are_inverse(quality: float) -> None:
    assert quality_at_share(liquid_share(quality, 32.0), 32.0) == pytest.approx(quality)


def test_share_by_hand() -> None:
    # 1 kg: 0.9 kg of liquid at 1000 kg/m3 and 0.1 kg of gas at 25 kg/m3
    assert liquid_share(0.1, 40.0) == pytest.approx(0.0009 / (0.0009 + 0.004))


def test_escape_grows_with_time_and_pressure() -> None:
    slow, fast = (escape_volume(GAPS, 3e6, 1150.0, n) for n in (15.0, 60.0))
    assert slow == pytest.approx(4 * fast)
    assert fast == pytest.approx(0.6 * 4e-6 * 1.25 / 60 * math.sqrt(2 * 3e6 / 1150))
    assert escape_volume(GAPS, -1.0, 1150.0, 60.0) == 0.0
    assert escape_volume(Gaps(-1e-6, 0.6, 1.0), 3e6, 1150.0, 60.0) == 0.0


def test_pressure_that_expels_is_the_inverse_of_the_escape() -> None:
    out = escape_volume(GAPS, 3e6, 1150.0, 60.0)
    assert expelling_pressure(out, GAPS, 1150.0, 60.0) == pytest.approx(3e6)
    assert expelling_pressure(-1e-9, GAPS, 1150.0, 60.0) == 0.0


def test_locking_share() -> None:
    assert locking_share(2.5, 0.0) == pytest.approx(0.4)
    assert locking_share(2.5, 0.1) == pytest.approx(0.5)
    assert locking_share(1.2, 0.9) == 1.0


def test_dry_work_by_hand() -> None:
    # polytropic work into 1/2.5 of the volume, push-out against three times the suction pressure, 6 % port loss
    compression = (2.5**0.12 - 1) / 0.12
    assert shaft_work(0.0, 2.5, 1.0, WORK) == pytest.approx(1.06 * (compression + 3.0 / 2.5 - 1))
    isothermal = Work(1.0, 3.0, 0.0)
    assert shaft_work(0.0, 2.5, 1.0, isothermal) == pytest.approx(math.log(2.5) + 0.2)


def test_work_rises_without_limit_towards_the_full_pocket() -> None:
    shares = (0.0, 0.2, 0.3, 0.39, 0.3999)
    works = [shaft_work(s, 2.5, 1.0, WORK) for s in shares]
    assert works == sorted(works)
    assert shaft_work(0.4, 2.5, 1.0, WORK) == math.inf
    assert load_factor(0.0, 32.0, 2.5, WORK) == math.inf


def test_quality_at_load() -> None:
    quality = quality_at_load(1.3, 32.0, 2.5, WORK)
    assert load_factor(quality, 32.0, 2.5, WORK) == pytest.approx(1.3, abs=1e-3)
    assert quality > quality_at_share(1 / 2.5, 32.0)
    assert load_factor(1.0, 32.0, 2.5, WORK) == pytest.approx(1.0)


def test_expelling_pressure_is_bounded() -> None:
    assert expelling_pressure(0.1, Gaps(1e-9, 0.6, 1.0), 1150.0, 500.0) == 1e10
