"""The whole way from rows to a verdict. First the two worst answers: a sound machine accused, liquid called clean."""

import numpy as np
import pytest
from tests.trend import machine

from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.trend.assess import SEARCHES
from witnessmark.trend.rules import RULES


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("runs", [(40, 20), (12, 18), (200, 30)])
def test_a_sound_machine_is_accused_of_nothing(seed: int, runs: tuple[int, int]) -> None:
    found = machine.judged(machine.sound(10.0, seed, *runs))
    assert found.episodes == ()
    assert found.verdict == "nothing found"
    unseen = {"low-load-then-ramp", "condenser-fouling", "sensor-drift"}  # no speed; too short for what takes weeks
    assert {row.kind for row in found.watched if not row.looked} == unseen


def test_what_takes_weeks_counts_as_looked_for_in_a_log_of_weeks() -> None:
    found = machine.judged(machine.sound(14.0))
    assert {row.kind for row in found.watched if not row.looked} == {"low-load-then-ramp"}


@pytest.mark.parametrize("days", [0.25, 2.0])
def test_a_log_that_shows_liquid_from_the_first_row_to_the_last_is_never_clean(days: float) -> None:
    columns = machine.sound(days)
    machine.wet(columns, np.ones(columns["time"].size, np.bool_))
    found = machine.judged(columns)
    assert found.verdict == "episodes found"
    assert "liquid-returning" in machine.kinds(found)


@pytest.mark.parametrize(
    "without", [(), ("discharge_temperature",), ("suction_temperature",), ("liquid_temperature", "current")]
)
def test_liquid_is_seen_by_what_sensors_there_are(without: tuple[str, ...]) -> None:
    columns = machine.sound(1.0)
    machine.wet(columns, machine.between(columns, 10.0, 14.0))
    found = machine.judged(columns, without)
    episode = machine.only(found, "liquid-returning")
    assert machine.BEGIN + 10 * 3600 <= episode.start <= machine.BEGIN + 11 * 3600
    assert machine.BEGIN + 13 * 3600 <= episode.end <= machine.BEGIN + 14.1 * 3600


def test_without_the_sensors_for_it_nothing_is_called_clean() -> None:
    found = machine.judged(machine.sound(1.0), ("suction_temperature", "discharge_temperature"))
    assert found.verdict == "cannot tell"
    blind = {row.kind: row.lacking for row in found.watched if not row.looked}
    assert blind["liquid-returning"] == ("suction_temperature",)


def test_a_channel_that_is_mostly_missing_is_none() -> None:
    columns = machine.sound(1.0)
    columns["suction_temperature"][: int(0.8 * 1440)] = np.nan
    found = machine.judged(columns, ("discharge_temperature",))
    assert {row.kind for row in found.watched if not row.looked} >= {"liquid-returning"}
    assert found.verdict != "nothing found"


def test_findings_are_those_of_the_diagnosis_and_soft() -> None:
    columns = machine.sound(1.0)
    machine.wet(columns, machine.between(columns, 10.0, 14.0))
    found = machine.judged(columns).findings
    assert {(row.finding, row.state) for row in found} >= {
        ("suction-superheat", "low"),
        ("discharge-superheat-low", "present"),
    }
    assert all(0.5 < row.reliability < 0.99 for row in found)


def test_every_finding_of_the_rules_exists_in_that_state() -> None:
    for row in RULES().values():
        for finding in row.findings:
            known = knowledge().findings[finding.finding]
            assert finding.state in (("present",) if known.kind == "yes-no" else ("low", "high"))
            assert finding.most <= known.reliability + 0.06
    assert set(RULES()) == set(SEARCHES)


def test_two_compressors_are_judged_apart() -> None:
    from witnessmark.trend import log as trend_log  # noqa: PLC0415
    from witnessmark.trend.assess import assess  # noqa: PLC0415
    from witnessmark.trend.channels import Column  # noqa: PLC0415
    from witnessmark.trend.tables import ColumnTable  # noqa: PLC0415

    first, second = machine.sound(1.0), machine.sound(1.0, 5)
    machine.wet(second, machine.between(second, 10.0, 14.0))
    own = ("suction_temperature", "discharge_temperature", "running")
    shared = {k: v.tolist() for k, v in first.items() if k not in own}
    table = ColumnTable(shared | {f"{k}{n}": c[k].tolist() for n, c in ((1, first), (2, second)) for k in own})
    named = [Column(k, k) for k in shared if k != "time"]  # type: ignore[arg-type]
    named += [Column(f"{k}{n}", k, compressor=n) for n in (1, 2) for k in own]  # type: ignore[arg-type]
    found = assess(trend_log.read(table, "time", "epoch-seconds", None, named), machine.plant())
    assert [view.number for view in found.views] == [1, 2]
    assert {episode.compressor for episode in found.episodes if episode.kind == "liquid-returning"} == {2}
