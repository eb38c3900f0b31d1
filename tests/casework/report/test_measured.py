"""What the desk judges by. Worst would be a figure beside the limit of another, or one that was changed on the way."""

from collections.abc import Callable
from typing import Any, get_args, get_origin

import pytest
from pydantic import BaseModel

from witnessmark.api.schemas import case_tests
from witnessmark.api.schemas.cleanup import Signs
from witnessmark.api.schemas.filter_log import LogReading
from witnessmark.api.schemas.restart import SideTest
from witnessmark.casework.report import measured, numbers
from witnessmark.casework.report.blocks import Table
from witnessmark.casework.report.material import Material
from witnessmark.language.catalogue import translator

Made = Callable[..., Material]


def q(value: float, unit: str) -> dict[str, Any]:
    return {"value": value, "unit": unit}


def limit(value: Any, side: str = "not above") -> dict[str, Any]:
    return {"value": value, "side": side}


def rows(table: Table | None) -> dict[str, tuple[str, ...]]:
    assert table is not None
    return {row[0]: row[1:] for row in table.rows}


def test_tests_stand_as_they_were_sent_beside_what_they_are_held_against(material: Made) -> None:
    insulation = {"resistance": q(0.5, "megohm"), "test_voltage": q(500, "V"), "conditions": {"under_vacuum": False}}
    supply = {"voltages": [q(462, "V"), q(459, "V"), q(461, "V")], "maker_limits": {"unbalance": 0.02}}
    corrected = [{"resistance": q(0.2, "megohm")}, {"resistance": q(0.2, "megohm")}]
    minima = [
        {"held_against": "reading as taken", "limit": limit(q(1, "megohm"), "not below"), "standing": "outside"},
        {"held_against": "reading at 40 degC", "limit": limit(q(5, "megohm"), "not below"), "standing": "outside"},
    ]
    balance = {"unbalance": {"value": 0.03, "uncertainty": 0.001}}
    results = {
        "insulation": {"minima": minima, "corrected": corrected},
        "windings": {"balance": balance, "limit": limit(0.02), "verdict": "unbalanced"},
        "supply": {"voltage_unbalance": {"value": 0.0036}, "limit": limit(0.01), "voltage_standing": "within"},
    }
    case = {"tests_of_failure": {"insulation": insulation, "supply": supply}}
    sent, held = measured.electrical(material(case=case, results=results, insulation=insulation))
    told = rows(sent)
    assert told["Insulation, test voltage"] == ("500 V",)
    assert told["Under vacuum"] == ("no",)
    assert told["Supply, voltages"] == ("462 V; 459 V; 461 V",)
    assert told["Supply, maker limits, unbalance"] == ("0.02",)
    judged = rows(held)
    assert judged["Insulation, reading as taken"] == ("0.5 MΩ", "not below 1 MΩ", "outside")
    assert judged["Insulation, reading at 40 degC"] == ("0.2 MΩ", "not below 5 MΩ", "outside")
    assert judged["Unbalance of the windings"] == ("3.00 ± 0.10 %", "not above 2 %", "unbalanced")
    assert judged["Unbalance of the voltages"] == ("0.36 %", "not above 1 %", "within")
    assert list(measured.electrical(material())) == [None, None]


def test_every_sample_stands_with_what_was_read_of_it(material: Made) -> None:
    samples = [
        {"at": "2026-03-01T10:00", "sample": "old-compressor", "acid_number": q(0.6, "mgKOH/g"), "colour": 7.5},
        {"sample": "circuit", "water": q(140, "mg/kg")},
    ]
    water = {"quantity": "water", "unit": "mg/kg", "reading": 140.0, "standing": "watch", "watch": {"limit": 50.0}}
    colour = {"quantity": "colour", "unit": "ASTM D1500", "reading": 2.0, "standing": "in limit", "act": {"limit": 4.0}}
    items = [{**water, "act": None}, {**colour, "watch": None}]
    gas = [{"at": "2026-03-02T10:00", "use": "in-circuit", "water": q(30, "mg/kg")}]
    case = {"oil_samples": samples, "refrigerant_samples": gas}
    told, last, sampled = measured.oil(material(case=case, results={"oil": {"items": items}}))
    assert told is not None
    assert told.rows == (
        ("2026-03-01 10:00", "old compressor", "0.6 mg KOH/g", "–", "7.5", "–"),
        ("time not given", "circuit", "–", "140 mg/kg", "–", "–"),
    )
    assert rows(last) == {
        "Water": ("140 mg/kg", "50 mg/kg", "–", "watch"),
        "Colour": ("2", "–", "4", "in limit"),
    }
    assert sampled is not None
    assert "2026-03-02 10:00" in sampled.caption
    assert rows(sampled) == {"Use": ("in circuit",), "Water": ("30 mg/kg",)}


def test_a_pressure_test_shows_its_stages_and_the_last_one_what_it_could_show(material: Made) -> None:
    stage = {"start_pressure": q(500, "psig"), "end_pressure": q(499, "psig"), "duration": q(24, "h")}
    tests = [{"side": "low", "stages": [stage]}, {"side": "high", "gas": "dry-nitrogen", "stages": [stage]}]
    found = {"loss": q(1.1, "kPa"), "expected_gauge_pressure": q(3440, "kPag"), "smallest_visible_loss": q(7, "kPa")}
    result = {"stages": [found], "hold": limit(q(24, "h"), "not below")}
    case = {"before_start": {"pressure_tests": tests}}
    low, high, held = measured.pressure(material(case=case, results={"pressure_test": result}))
    assert low is not None
    assert high is not None
    assert "low" in low.caption
    assert low.rows == (("500 psig", "–", "499 psig", "–", "24 h"),)
    assert high.rows == (("500 psig", "–", "499 psig", "–", "24 h", "3,440 kPag", "1.1 kPa", "7 kPa"),)
    assert rows(held)["Duration of the last stage"][:2] == ("24 h", "not below 24 h")
    assert list(measured.pressure(material())) == []


def test_a_vacuum_shows_readings_limits_and_where_it_levels_off(material: Made) -> None:
    readings = [{"time": q(k, "min"), "pressure": q(200 + k, "micron")} for k in range(100)]
    evacuation = {"pump_valved_off": True, "readings": readings}
    reached = {"pressure": q(20, "Pa"), "limit": limit(q(26.66, "Pa")), "standing": "within"}
    decay = {"reached": reached, "plateau": q(23, "Pa")}
    case, results = {"before_start": {"evacuation": evacuation}}, {"evacuation": {"decay": decay}}
    sent, read, held = measured.vacuum(material(case=case, results=results))
    assert rows(sent) == {"Pump valved off": ("yes",)}
    assert read is not None
    assert (len(read.rows), read.rows[0], read.rows[-1]) == (40, ("0 min", "200 micron"), ("99 min", "299 micron"))
    assert "40 of 100" in read.caption
    assert rows(held) == {
        "Vacuum reached": ("20 Pa", "not above 26.66 Pa", "within"),
        "Plateau of the rise": ("23 Pa", "–", "–"),
    }


def test_the_log_of_the_core_stands_as_it_was_read(material: Made) -> None:
    told = [
        {"at": "2026-03-01T10:00", "drop": q(2.2, "psi"), "acid_test": "positive"},
        {"at": "2026-03-01T12:00", "drop": q(1.3, "psi"), "new_core": True},
        {"at": "2026-03-01T13:00", "drop": q(1.4, "psi")},
    ]
    judged = [
        {"reading": 1, "full_flow_drop": q(9, "kPa"), "low": q(5.4, "kPa"), "high": q(12.5, "kPa")},
        {"reading": 0, "full_flow_drop": None, "low": None, "high": None},
        {"reading": 2, "full_flow_drop": q(9.6, "kPa"), "low": None, "high": None},
    ]
    case, results = {"filter_log": {"readings": told}}, {"filter_log": {"readings": judged}}
    (core,) = measured.core(material(case=case, results=results))
    assert core is not None
    assert core.head == ("When", "Drop", "Acid test", "New core", "Drop at full flow (interval)")
    assert core.rows == (
        ("2026-03-01 10:00", "2.2 psi", "positive", "–", "–"),
        ("2026-03-01 12:00", "1.3 psi", "–", "yes", "9 kPa (5.4 – 12.5)"),
        ("2026-03-01 13:00", "1.4 psi", "–", "–", "9.6 kPa"),
    )


def test_signs_that_were_looked_for_and_not_found_say_so_and_free_words_stay_text(material: Made) -> None:
    signs = {"debris": [], "deposits": ["sludge-in-discharge-line"], "smell": "burnt", "maker_document": "=1+1\n<b>"}
    told = rows(measured.as_sent(material(case={"signs": signs}), "signs", "sent_signs"))
    assert told["Debris"] == ("looked for, none found",)
    assert told["Deposits"] == ("sludge in discharge line",)
    assert told["Maker document"][0].splitlines() == [told["Maker document"][0]]
    assert measured.as_sent(material(), "signs", "sent_signs") is None


KEPT = {"value", "unit", "uncertainty", "at", "readings", "stages", "conditions"}
"""Fields that no table names."""
SAME = {"conductor", "motor", "volume", "mineral"}


def words(kind: Any, names: set[str], lists: set[str]) -> tuple[set[str], set[str]]:
    """Names of fields and words of closed lists below a model."""
    kind = getattr(kind, "__value__", kind)
    if isinstance(kind, type) and issubclass(kind, BaseModel) and "unit" not in kind.model_fields:
        for name, field in kind.model_fields.items():
            names.add(name)
            words(field.annotation, names, lists)
    for part in get_args(kind):
        if isinstance(part, str) and "Literal" in str(get_origin(kind)):
            lists.add(part)
        else:
            words(part, names, lists)
    return names, lists


@pytest.mark.parametrize("language", ["es", "pt"])
def test_each_name_and_word_of_a_test_is_told_in_every_language(language: str) -> None:
    names, lists = set[str](), set[str]()
    shown = [case_tests.BeforeStart.model_fields[name].annotation for name in (*measured.PROVED, "evacuation")]
    for model in (*shown, case_tests.TestsOfFailure, case_tests.RefrigerantSampleKept, case_tests.OilSampleKept,
                  LogReading, SideTest, Signs):  # fmt: skip
        words(model, names, lists)
    texts = {numbers.name(name) for name in names - KEPT} | {word.replace("-", " ") for word in lists}
    say = translator(language)  # type: ignore[arg-type]
    told = {text for text in texts if any(map(str.islower, text)) and say(text) == text}
    assert len(texts) > 150
    assert told - SAME == set()
