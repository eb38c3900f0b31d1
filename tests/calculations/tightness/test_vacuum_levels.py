"""The one table of vacuum levels, and the one answer to dry enough."""

from __future__ import annotations

import pytest

from witnessmark import data
from witnessmark.calculations.metrology.limits import Standing
from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.calculations.tightness import vacuum_levels as core
from witnessmark.calculations.tightness.vacuum_levels import (
    VACUUM,
    VacuumSituation,
    VacuumTable,
    allowed_rise,
    check_levels,
    dry_enough,
    vacuum_levels,
)
from witnessmark.vocabulary import Oil, words

MICRON = 0.133322387415


@pytest.mark.parametrize(
    ("situation", "pulls", "after_hold", "hold"),
    [("ordinary", 1, 500, 3600), ("after-burn", 3, 500, 3600), ("wet", 3, 300, 7200)],
)
def test_what_a_situation_asks(situation: VacuumSituation, pulls: int, after_hold: float, hold: float) -> None:
    """UFGS: 500 micron an hour later, and after three pulls of a wet circuit 300 for two; a burnout procedure: 500."""
    for oil in (None, *words(Oil)):
        row = vacuum_levels(oil, situation)
        assert row.pulls == pulls
        assert row.after_hold.rule().value == pytest.approx(after_hold * MICRON, rel=1e-3)
        assert row.hold.rule().value == hold
        assert row.pull_to.rule().value <= row.after_hold.rule().value


def test_an_oil_that_is_not_told_counts_as_polyolester() -> None:
    assert vacuum_levels(None) is vacuum_levels("POE")
    assert vacuum_levels("mineral") is not vacuum_levels("POE")


@pytest.mark.parametrize(
    ("pascal", "situation", "standing"),
    [
        (400.0, "ordinary", "within"),  # 3 Torr
        (1333.0, "after-burn", "within"),
        (3300.0, "ordinary", "sources disagree"),  # a compound gauge at 29 inHg
        (16700.0, "ordinary", "outside"),
        (400.0, "wet", "within"),
        (1000.0, "wet", "outside"),
    ],
)
def test_ammonia_is_not_held_to_the_vacuum_of_halocarbons(
    pascal: float, situation: VacuumSituation, standing: Standing
) -> None:
    """Water mixes with it: what has to be got out is air, and liquid water where some got in."""
    for oil in (None, *words(Oil)):
        assert dry_enough(Measured(pascal, 0.0), vacuum_levels(oil, situation, "R-717")).standing == standing
    assert dry_enough(Measured(pascal, 0.0), vacuum_levels("POE", situation, "R-134a")).standing == "outside"


@pytest.mark.parametrize(
    ("pascal", "uncertainty", "standing"),
    [
        (66.66, 0.0, "within"),
        (66.67, 0.0, "sources disagree"),
        (133.3, 0.0, "sources disagree"),
        (133.4, 0.0, "outside"),
        (60.0, 3.32, "within"),
        (60.0, 3.34, "cannot tell"),
    ],
)
def test_the_edges_of_dry_enough(pascal: float, uncertainty: float, standing: Standing) -> None:
    assert dry_enough(Measured(pascal, uncertainty), vacuum_levels()).standing == standing


def test_the_makers_limit_decides() -> None:
    assert dry_enough(Measured(100.0, 1.0), vacuum_levels(), maker=(110.0, "")).standing == "within"
    assert dry_enough(Measured(50.0, 1.0), vacuum_levels("POE", "wet")).standing == "sources disagree"


@pytest.mark.parametrize(
    ("volume", "per_hour"),
    [(None, 7.06), (0.001, 7.06), (7e-6 * 3600 / 7.06, 7.06), (0.01, 2.52), (0.1, 0.252)],
)
def test_the_allowed_rise_of_a_volume(volume: float | None, per_hour: float) -> None:
    """7e-6 Pa m3/s over the volume, by hand; never more than 0.05 inHg (169.3 Pa) in 24 h."""
    assert allowed_rise(volume).value == pytest.approx(per_hour)
    assert VACUUM().rise.rule().value == pytest.approx(0.05 * 3386.39 / 24, rel=1e-3)


def test_the_allowed_leak_is_a_pound_of_r134a_a_year() -> None:
    """By hand from outside figures: 0.4536 kg a year, 102.03 g/mol, 571.7 kPa at 20 degC, 11.5 and 18.2 uPa s."""
    inside = 0.4536 / 0.10203 * 8.314462 * 293.15 / (365.25 * 86400)
    through = inside * 101325**2 / (571.7e3**2 - 101325**2) * 11.5 / 18.2
    assert VACUUM().leak.rule().value == pytest.approx(through, rel=0.01)


def test_a_table_with_a_hole_or_a_double_row_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    check_levels()
    table = VACUUM()
    for rows in (table.levels[1:], (*table.levels, table.levels[0])):
        broken = VacuumTable(leak=table.leak, rise=table.rise, chiller=table.chiller, levels=rows)
        monkeypatch.setattr(core, "VACUUM", lambda broken=broken: broken)
        with pytest.raises(data.DataError, match=r"vacuum_levels\.toml: POE, ordinary, all others: [02] rows"):
            check_levels()
