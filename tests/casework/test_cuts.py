"""Requests cut from a case, and cases from which a request would be cut: both ways, for every part."""

import json
from pathlib import Path
from typing import Any

import pytest

from witnessmark.api.routes.case_parts import OPERATIONS, model_of
from witnessmark.api.schemas.case_document import CaseDocument
from witnessmark.casework.cuts import CUTS, OWN, began, cut, home, missing, paste
from witnessmark.casework.document import at
from witnessmark.casework.view import view

EXAMPLES = Path(__file__).parents[2] / "openapi" / "examples"
NOT_OF_A_CASE = {
    "superheat": ("place", "maker"),
    "subcooling": ("maker",),
    "compression": ("maps", "displacement", "speed", "mass_flow", "power"),
    "diagnosis": ("want",),
    "oil": ("maker_limits.contamination",),
    "refrigerant": ("maker_limits",),
    "debris": ("circuit",),
}
"""What a request may hold that is asked of its own operation only."""


def requests() -> list[tuple[str, str, dict[str, Any]]]:
    found = []
    for part, rule in CUTS.items():
        examples = json.loads((EXAMPLES / f"{rule.operation}.json").read_text("utf-8"))
        found += [(part, name, example["value"]) for name, example in examples.items()]
    return found


def without(request: dict[str, Any], part: str) -> dict[str, Any]:
    kept: dict[str, Any] = json.loads(json.dumps(request))
    kept.pop("report_in", None)
    for path in NOT_OF_A_CASE.get(part, ()):
        *way, last = path.split(".")
        inner = at(kept, ".".join(way)) if way else kept
        if isinstance(inner, dict):
            inner.pop(last, None)
    return kept


@pytest.mark.parametrize(("part", "name", "request_"), requests(), ids=lambda value: str(value)[:40])
def test_every_example_comes_back_from_the_case_that_holds_it(part: str, name: str, request_: dict[str, Any]) -> None:
    request = without(request_, part)
    case = paste(part, request)
    document = CaseDocument.model_validate(case)
    sent = document.model_dump(mode="json", exclude_unset=True, warnings=False)
    wanted = model_of(part).model_validate(request)
    again = model_of(part).model_validate(cut(part, view(sent)))
    assert again == wanted, name


@pytest.mark.parametrize("part", CUTS)
def test_moves_go_to_fields_that_the_request_has_and_come_from_fields_of_the_case(part: str) -> None:
    fields = model_of(part).model_fields
    for source, target in (*CUTS[part].moves, *(move for group in CUTS[part].stand_ins for move in group)):
        assert target.split(".")[0] in fields, target
        head = source.split(".")[0]
        assert head in CaseDocument.model_fields or head in {
            "now", "sound", "oil_sample", "old_oil", "refrigerant_sample", "pressure_test", "concluded",
        }, source  # fmt: skip


def test_every_part_has_its_operation_and_what_begins_it() -> None:
    assert set(OPERATIONS) - {"note"} == set(CUTS) == set(OWN)


def test_what_a_part_lacks_is_named_where_the_case_would_hold_it() -> None:
    seen = view({"refrigerant": "R-32", "readings": [{"values": {"suction_pressure": 1}}]})
    assert missing("superheat", cut("superheat", seen)) == ("now.suction_temperature",)
    assert missing("diagnosis", {}) == ("findings",)
    assert missing("debris", {}) == ("breakage.parts",)


def test_a_part_begins_with_what_is_its_own() -> None:
    seen = view({"refrigerant": "R-32", "machine": {"oil": "POE"}})
    assert not any(began(part, seen) for part in CUTS)
    assert began("cleanup", {"start": "2026-01-01T10:00"})


def test_a_stand_in_fills_nothing_that_was_read() -> None:
    failed = {"tests_of_failure": {"insulation": {"resistance": 1, "temperature": 2}}}
    assert cut("diagnosis", view(failed))["readings"] == {"insulation_resistance": 1, "winding_temperature": 2}
    read = {**failed, "readings": [{"values": {"insulation_resistance": 9}}]}
    assert cut("diagnosis", view(read))["readings"] == {"insulation_resistance": 9}


def test_tests_of_the_failed_machine_never_reach_the_gate() -> None:
    case = {"tests_of_failure": {"insulation": {"resistance": 1}, "windings": {"phases": "x"}, "supply": {}}}
    assert "tests" not in cut("restart", view(case))


def test_windings_of_the_gate_are_read_beside_the_nameplate() -> None:
    """40 ohm beside 15 A at 400 V: what the readings know of the motor goes along, and makes no test of its own."""
    plate = {"readings": [{"values": {"rated_current": 15, "rated_voltage": 400}}]}
    assert "tests" not in cut("restart", view(plate))
    read = {**plate, "before_start": {"windings": {"terminals": [40, 40, 40], "rated_voltage": 380}}}
    found = cut("restart", view(read))["tests"]["windings"]
    assert (found["rated_current"], found["rated_voltage"]) == (15, 380)


def test_the_home_of_a_field() -> None:
    assert home("restart", ("tests", "insulation", "resistance")) == "before_start.insulation.resistance"
    assert home("superheat", ("place",)) == ""
    assert home("superheat", ()) == ""
