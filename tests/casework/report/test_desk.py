"""The part for the warranty desk. Worst would be a corrected figure where the desk takes it for the measured one."""

from collections.abc import Callable
from typing import Any

from witnessmark.casework.report.blocks import Table
from witnessmark.casework.report.desk import desk
from witnessmark.casework.report.material import Material

OHM = [{"value": 1.04, "unit": "ohm"}, {"value": 1.05, "unit": "ohm"}]
CASE: dict[str, Any] = {
    "site": {"altitude": {"value": 5280, "unit": "ft"}},
    "circumstances": {"history": ["charge-added-repeatedly"]},
    "tests_of_failure": {
        "windings": {"terminals": OHM},
        "insulation": {"resistance": {"value": 800, "unit": "megohm"}, "temperature": {"value": 75, "unit": "degF"}},
    },
}


def tables(material: Material) -> list[Table]:
    return [block for part in desk(material) if part for block in part.blocks if isinstance(block, Table)]


def test_the_desk_reads_what_was_measured_where_and_what_is_told_of_the_history(
    material: Callable[..., Material],
) -> None:
    shown = tables(material(case=CASE))
    rows = {row[0]: row[1] for table in reversed(shown) for row in table.rows}
    assert len(shown) == 2  # place and history, and the tests as they were sent
    assert rows["insulation resistance"] == "800 MΩ"
    assert rows["winding resistances"].replace(" Ω", "") == "1.04; 1.05"
    assert rows["altitude"] == "5,280 ft"
    assert "again and again" in rows["history"]
    assert "barometer" not in rows
    assert tables(material()) == []


def test_a_passed_check_shows_what_it_passed_on(material: Callable[..., Material]) -> None:
    held = {"outcome": "passed", "detail": "no loss seen", "condition": "held for less than 24 h"}
    plain = {"outcome": "passed", "detail": "passed", "condition": ""}
    check = {"title": "Tight", "state": "passed", "evidence": [held, plain, held]}
    (gate,) = tables(material(results={"restart": {"checks": [check]}}))
    assert gate.rows[0][2] == "held for less than 24 h"
