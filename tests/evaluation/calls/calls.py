"""Calls that were judged before the service saw them: their order, what must stop, what is sound, what to look at next.

Three writers with the public wording of the findings, nothing of the rules, wrote 450 constructed rows (not collected
in the field, not labelled by practitioners): 150 pairs of calls with an obvious order, 120 machines that must or must
not be stopped, 60 with nothing wrong, 120 situations with acceptable and foolish checks. About half is sealed: only
totals are ever read.
"""

from __future__ import annotations

import hashlib
import json
import lzma
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any, Literal

from fastapi.testclient import TestClient

from witnessmark.api.app import app

HERE = Path(__file__).parent
Part = Literal["open", "sealed"]
UNITS = {"Ohm": "ohm", "MOhm": "megohm", "kOhm": "kilohm", "mg/g": "mgKOH/g"}
Row = Mapping[str, Any]
SHOWN_BY = {
    "suction-superheat": ("suction_temperature", "suction_pressure"),
    "suction-pressure": ("suction_pressure",),
    "condensing-pressure": ("discharge_pressure",),
    "compression-ratio-high": ("discharge_pressure",),
    "subcooling": ("liquid_temperature",),
    "discharge-temperature-high": ("discharge_temperature",),
    "discharge-superheat-low": ("discharge_temperature",),
    "sump-cold-running": ("sump_temperature",),
    "sump-cold-at-rest": ("sump_temperature",),
    "running-current": ("running_current", "line_currents"),
    "current-unbalance": ("line_currents",),
    "voltage-unbalance": ("line_voltages",),
    "supply-voltage": ("line_voltages",),
    "phase-missing": ("line_voltages", "line_currents"),
    "insulation-low": ("insulation_resistance",),
    "winding-resistances-unequal": ("winding_resistances",),
    "winding-open": ("winding_resistances",),
    "acid-test-positive": ("oil_acid_number",),
    "charge-short": ("recovered_charge",),
    "charge-over": ("recovered_charge",),
    "short-cycling": ("starts_per_hour",),
}
"""Readings in which a finding is looked for: the writers name either."""
ACTIONS = {"clean-condenser": "clean-coil", "restore-airflow": "clean-coil", "weigh-out": "weigh-charge"}
"""Names that the writers' form had for the same work."""
CALL = ("note", "findings", "machine", "refrigerant", "readings", "urgency", "conditions", "circumstances")


@cache
def rows(part: Part) -> tuple[Row, ...]:
    """The rows of a part. The sealed part is checked against its hash."""
    if part == "open":
        return _parsed((HERE / "open.jsonl").read_text(encoding="utf-8"))
    raw = lzma.decompress((HERE / "sealed.jsonl.xz").read_bytes())
    if hashlib.sha256(raw).hexdigest() != (HERE / "SEALED.sha256").read_text(encoding="ascii").strip():
        raise ValueError("the sealed rows are not those that were sealed")
    return _parsed(raw.decode())


def in_our_units(part: Any) -> Any:
    """The rows spell some units as their form did; the service has other names for them."""
    if isinstance(part, dict):
        return {key: UNITS.get(one, one) if key == "unit" else in_our_units(one) for key, one in part.items()}
    return [in_our_units(one) for one in part] if isinstance(part, list) else part


def _parsed(text: str) -> tuple[Row, ...]:
    return tuple(in_our_units(json.loads(line)) for line in text.splitlines())


def of(part: Part, name: str) -> tuple[Row, ...]:
    """The rows of one set: pair, alarm, healthy, check."""
    return tuple(row for row in rows(part) if row["set"] == name)


@cache
def client() -> TestClient:
    """The service, in this process."""
    return TestClient(app)


@cache
def answered(path: str, body: str) -> Row:
    """What the service answers; several questions are asked of one answer."""
    answer: Row = client().post(path, content=body, headers={"content-type": "application/json"}).json()
    return answer


def dispatched(call: Row) -> Row:
    """What the service answers to one call."""
    answer = answered("/v1/dispatch", json.dumps({key: call[key] for key in CALL if key in call}))
    one: Row = answer["result"]["calls"][0]
    if one["problem"] is not None:
        raise ValueError(f"refused: {one['problem']}")
    outcome: Row = one["outcome"]
    return outcome


def diagnosed(call: Row) -> Row:
    """The diagnosis of a situation; a note in it is read first, as a caller would."""
    body = {key: call[key] for key in CALL if key in call and key not in ("note", "urgency")}
    body["want"] = {"explanation": False}
    answer = answered("/v1/diagnosis", json.dumps(body))
    if "result" not in answer:
        raise ValueError(f"refused: {answer}")
    result: Row = answer["result"]
    return result


def first_goes_first(row: Row) -> int:
    """1 if the right call goes first, 0 if they tie, -1 if the order is reversed."""
    orders = [dispatched(row[side])["priority"]["order"] for side in ("first", "second")]
    return int(orders[1] > orders[0]) - int(orders[1] < orders[0])


def stops(row: Row) -> bool:
    """Whether the service says to stop, or forbids power."""
    outcome = dispatched(row["input"])
    return bool(outcome["operation"]["advice"] == "stop")


def looked_at(row: Row) -> tuple[frozenset[str], ...]:
    """The first three checks that the service proposes, each under every name that the writers had for it."""
    checks = diagnosed(row["input"])["next_checks"]["checks"]
    return tuple(_names_of(check) for check in checks[:3])


def _names_of(check: Row) -> frozenset[str]:
    """Under its action, where it is one, and under what a look shows (`oil-level-in-glass`: oil-quantity)."""
    shown = [check["finding"]] if check["kind"] == "search" or not check["action"] else []
    return frozenset[str]().union(*(_named(str(name)) for name in (check["action"], *shown) if name))


def _named(check: str) -> frozenset[str]:
    return frozenset({check, ACTIONS.get(check, check), *(f"reading:{name}" for name in SHOWN_BY.get(check, ()))})
