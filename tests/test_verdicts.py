"""docs/VERDICTS.md: every test that it names as holding a verdict is there, and every verdict has its row."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PAGE = (ROOT / "docs" / "VERDICTS.md").read_text("utf-8")
ROWS = [line for line in PAGE.splitlines() if line.count("|") == 5 and not line.startswith(("| verdict", "| ---"))]


@cache
def names(path: str) -> frozenset[str]:
    """Names of the tests in a file."""
    return frozenset(re.findall(r"^def (test_\w+)", (ROOT / path).read_text("utf-8"), re.MULTILINE))


@pytest.mark.parametrize("row", ROWS, ids=range(len(ROWS)))
def test_a_verdict_is_held_by_tests_that_exist(row: str) -> None:
    held_by = row.rsplit("|", 2)[1]
    parts = re.findall(r"(tests/[\w/]+\.py)|::(test_\w+)", held_by)
    assert parts
    path = ""
    for file, test in parts:
        path = file or path
        assert (ROOT / path).is_file(), path
        assert not test or test in names(path), f"{path}::{test}"


OPERATIONS = {
    "BalanceVerdict": "debris-balance",
    "Calibration": "outcomes",
    "EvacuationVerdict": "evacuation",
    "FillingOutcome": "accumulator",
    "GasVerdict": "noncondensables",
    "IngestionVerdict": "liquid-ingestion",
    "InsulationOutcome": "insulation",
    "LogVerdict": "cleanup/filter-log",
    "MarginVerdict": "superheat",
    "MatchVerdict": "findings/match",
    "OilReturnVerdict": "oil-return",
    "OilVerdict": "oil-quality",
    "OperatingVerdict": "compression",
    "PolarisationVerdict": "insulation",
    "PressureTestVerdict": "pressure-test",
    "PumpingVerdict": "compression",
    "PurityVerdict": "refrigerant-quality",
    "RoomVerdict": "flammable-charge",
    "RunVerdict": "after_run",
    "SizingVerdict": "accumulator",
    "StageVerdict": "pressure-test",
    "StartVerdict": "restart",
    "SupplyOutcome": "supply-unbalance",
    "SuspicionVerdict": "cycle",
    "TrendVerdict": "trend-log",
    "VerdictState": "diagnose",
    "WaterVerdict": "moisture-limit",
    "WetnessVerdict": "wet-suction",
    "WindingVerdict": "windings",
}
"""Closed lists of verdicts in the document, and how rows of the page call the operation that answers by them."""
SCHEMAS = json.loads((ROOT / "openapi" / "openapi.json").read_text("utf-8"))["components"]["schemas"]
LISTED = [(name, verdict) for name in OPERATIONS for verdict in SCHEMAS[name]["enum"]]


def test_no_closed_list_of_verdicts_is_forgotten() -> None:
    named = {name for name, schema in SCHEMAS.items() if "enum" in schema and re.search(r"Verdict|Outcome$", name)}
    others = {"CheckOutcome", "StatedOutcome", "EvidenceOutcome"}  # what a request says, and what a verdict rests on
    assert named - others <= OPERATIONS.keys()


@pytest.mark.parametrize(("name", "verdict"), LISTED)
def test_every_verdict_of_the_document_has_its_row(name: str, verdict: str) -> None:
    word = re.compile(rf"(?<![\w-]){re.escape(verdict)}(?![\w-])")
    firsts = [row.split("|")[1] for row in ROWS]
    assert any(OPERATIONS[name] in first and word.search(first) for first in firsts)
