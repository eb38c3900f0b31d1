"""What a case document tells in two ways."""

from __future__ import annotations

from typing import Any

import pytest

from witnessmark.api.units import dimensions
from witnessmark.casework.twofold import OHMS, told_twice
from witnessmark.language.catalogue import translator

GAS = {"note": {"facts": [{"kind": "refrigerant", "value": "R-410A"}, {"kind": "age", "value": "3"}]}}


@pytest.mark.parametrize(
    ("case", "done", "said"),
    [
        ({"refrigerant": "R-22"}, GAS, ["R-410A"]),  # its pressure bursts an R-22 unit
        ({"refrigerant": "R 410 a"}, GAS, []),
        ({"refrigerant": "no such gas"}, GAS, []),
        ({}, GAS, []),
        ({"refrigerant": "R-22"}, {}, []),
        (
            {"machine": {"phases": "three-phase"}, "tests_of_failure": {"windings": {"phases": "single-phase"}}},
            {},
            ["single-phase"],
        ),
        (
            {"machine": {"phases": "three-phase"}, "tests_of_failure": {"windings": {"phases": "three-phase"}}},
            {},
            [],
        ),
        ({"complaint_at": "2026-06-18T08:00", "as_of": "2026-06-01T08:00+02:00"}, {}, ["before the call"]),
        ({"complaint_at": "2026-06-18T08:00", "as_of": "2026-06-18T00:00+02:00"}, {}, []),
        ({"complaint_at": "2026-06-18T08:00", "start": "2026-06-01T08:00"}, {}, ["before the call"]),
        ({"as_of": "2026-06-18T08:00Z", "readings": [{"at": "2026-06-19T08:00"}]}, {}, ["after the moment"]),
        ({"as_of": "2026-06-18T08:00Z", "notes": [{"at": "2026-06-18T20:00"}, {"text": "x"}]}, {}, []),
        ({"as_of": "2026-06-18T08:00Z", "notes": [{"at": "2026-06-18T20:00Z"}]}, {}, ["a note (2026-06-18 20:00)"]),
        (
            {
                "as_of": "2026-06-18T08:00Z",
                "site": {"time_zone": "Europe/Lisbon"},
                "readings": [{"at": "2026-06-18T09:05"}, {"at": "2026-06-18T09:15"}],
            },
            {},
            ["readings (2026-06-18 09:15)"],
        ),
        ({"complaint_at": "2026-06-18T08:00", "start": "2026-06-20T08:00", "as_of": "2026-06-19T08:00Z"}, {}, []),
    ],
)
def test_told_in_two_ways(case: dict[str, Any], done: dict[str, Any], said: list[str]) -> None:
    found = [entry.text for entry in told_twice(case, done)]
    assert len(found) == len(said)
    assert all(word in text for word, text in zip(said, found, strict=True))


@pytest.mark.parametrize(
    ("conditions", "work", "said"),
    [
        (["power-off", "compressor-runs"], "", ["power is off"]),  # a hand goes to live terminals
        (["power-off", "compressor-runs"], "compressor-replaced", ["power is off"]),
        (["circuit-open", "compressor-runs"], "", ["circuit is open"]),
        (["compressor-runs", "compressor-removed"], "", ["compressor is out"]),
        (["compressor-runs", "compressor-removed"], "compressor-removed", ["compressor is out"]),
        (["compressor-runs", "compressor-removed"], "compressor-replaced", []),
        (["power-off", "compressor-removed", "circuit-open"], "", []),
        (["compressor-runs"], "", []),
    ],
)
def test_conditions_that_exclude_each_other(conditions: list[str], work: str, said: list[str]) -> None:
    case = {"conditions": conditions, "work_done": [{"kind": work, "text": "x"}] if work else []}
    found = [entry.text for entry in told_twice(case, {})]
    assert len(found) == len(said)
    assert all(word in text for word, text in zip(said, found, strict=True))
    for language in ("es", "pt"):
        assert all(translator(language)(text) != text for text in found)


def finding(name: str, state: str) -> dict[str, str]:
    return {"finding": name, "state": state}


def kg(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "kg"}


@pytest.mark.parametrize(
    ("case", "said"),
    [
        ({"findings": [finding("oil-burnt", "present"), finding("oil-burnt", "absent")]}, ["Told in two ways"]),
        ({"findings": [finding("oil-burnt", "present"), finding("oil-burnt", "unknown")]}, []),
        ({"findings": [finding("oil-burnt", "present"), finding("oil-burnt", "present")]}, []),
        ({"signs": {"burn": "none"}, "findings": [finding("windings-clean", "absent")]}, ["Windings clean"]),
        (
            {"signs": {"burn": "none"}, "findings": [finding("windings-burnt-evenly", "present")]},
            ["Signs and findings"],
        ),
        ({"signs": {"burn": "spot"}, "findings": [finding("windings-clean", "present")]}, ["Windings clean"]),
        ({"signs": {"burn": "none"}, "findings": [finding("windings-clean", "present")]}, []),
        ({"signs": {"acid_test": "negative"}, "findings": [finding("acid-test-positive", "present")]}, ["Signs and"]),
        ({"signs": {"acid_test": "positive"}, "findings": [finding("acid-test-positive", "present")]}, []),
        ({"machine": {"charge": kg(7.8)}, "readings": [{"values": {"due_charge": kg(3)}}]}, ["two full charges"]),
        ({"machine": {"charge": kg(3.2)}, "readings": [{"values": {"due_charge": kg(3)}}]}, []),
        ({"machine": {"charge": kg(3.2)}, "readings": [{"values": {}}]}, []),
        (
            {
                "machine": {"oil": "POE"},
                "signs": {"colour": 1},
                "oil_samples": [{"sample": "old-compressor", "colour": 8}],
            },
            ["colour"],
        ),
    ],
)
def test_findings_signs_and_charges_in_two_ways(case: dict[str, Any], said: list[str]) -> None:
    found = [entry.text for entry in told_twice(case, {})]
    assert len(found) == len(said)
    assert all(word in text for word, text in zip(said, found, strict=True))


def insulation(of: str, value: float, unit: str = "megohm") -> dict[str, Any]:
    return {"of": of, "values": {"insulation_resistance": {"value": value, "unit": unit}}}


@pytest.mark.parametrize(
    ("of", "field", "read", "tested", "told"),
    [
        ("found", "tests_of_failure", (600, "megohm"), (0.05, "megohm"), "0.05 megohm and 600 megohm"),
        ("found", "tests_of_failure", (0.05, "megohm"), (0.6, "gigohm"), "0.05 megohm and 0.6 gigohm"),
        ("after-repair", "before_start", (600, "megohm"), (50, "kilohm"), "50 kilohm and 600 megohm"),
        ("found", "before_start", (600, "megohm"), (0.05, "megohm"), ""),  # of two machines
        ("after-repair", "tests_of_failure", (0.05, "megohm"), (600, "megohm"), ""),
        ("found", "tests_of_failure", (600, "megohm"), (40, "megohm"), ""),  # one warm, one cold
        ("found", "tests_of_failure", (0.05, "megohm"), (50, "kilohm"), ""),
    ],
)
def test_two_insulation_readings_of_one_winding_are_told_of(
    of: str, field: str, read: tuple[float, str], tested: tuple[float, str], told: str
) -> None:
    """The worst wrong answer: the good one is believed and power is put on a winding that is to ground."""
    test = {"resistance": {"value": tested[0], "unit": tested[1]}}
    found = [*told_twice({"readings": [{"at": "x"}, insulation(of, *read)], field: {"insulation": test}}, {})]
    assert bool(found) == bool(told)
    assert all(one.part == "insulation" and told in one.text for one in found)


def test_resistances_are_compared_in_the_units_that_are_taken() -> None:
    assert dict(OHMS) == {name: unit.factor for name, unit in dimensions()["resistance"].units.items()}


def test_nothing_is_compared_with_an_insulation_that_was_read_once() -> None:
    assert [*told_twice({"readings": [insulation("found", 600)]}, {})] == []


def test_a_failed_compressor_that_runs_again_is_told_in_two_ways_unless_another_one_is_in() -> None:
    case: dict[str, Any] = {"compressor_fate": "known-failed", "notes": [{"text": "overload closed, runs again"}]}
    (found,) = told_twice(case, {})
    assert "runs again or is kept" in found.text
    assert list(told_twice({**case, "compressor_fate": "unknown"}, {})) == []
    assert list(told_twice({**case, "work_done": [{"text": "x", "kind": "compressor-replaced"}]}, {})) == []


def entry(when: str, **more: Any) -> dict[str, Any]:
    return {"at": when, "drop": {"value": 5, "unit": "kPa"}, **more}


METER = {"value": 12, "unit": "h"}


@pytest.mark.parametrize(
    ("entries", "what"),
    [
        ([entry("2026-05-21T10:00"), entry("2026-05-21T10:00")], "the same time"),
        ([entry("2026-05-21T10:00"), entry("2026-05-21T11:00"), entry("2026-05-21T09:00Z")], "the same time"),
        (
            [entry("2026-05-21T10:00", hour_meter=METER), entry("2026-05-22T10:00", hour_meter=METER)],
            "the same hour meter",
        ),
        ([entry("2026-05-21T10:00", hour_meter=METER), entry("2026-05-21T11:00", hour_meter=METER, flow_share=0)], ""),
        ([entry("2026-05-21T10:00"), entry("2026-05-21T10:40")], ""),
    ],
)
def test_an_entry_of_the_filter_log_that_stands_twice_is_named(entries: Any, what: str) -> None:
    case = {"site": {"time_zone": "Europe/Lisbon"}, "filter_log": {"readings": entries}}
    told = [one.text for one in told_twice(case, {}) if one.part == "filter_log"]
    assert [what in text for text in told] == ([True] if what else [])
    if what and len(entries) == 3:
        assert told[0].startswith("Entries 1 and 3 ") or told[0].startswith("Entries 2 and 3 ")
