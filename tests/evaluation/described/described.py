"""Published descriptions that were not used so far, encoded blind and sealed, and how often the service names the same.

See SOURCES.md. Three answers to the same question: the service, the priors alone (nothing told), and the commonest mode
and cause of the set itself (which knows the mix and nothing of the case).
"""

from __future__ import annotations

import hashlib
import json
import lzma
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Literal

from fastapi.testclient import TestClient

from tests.evaluation.calls.calls import in_our_units
from tests.evaluation.vacuum.score import Share
from witnessmark.api.app import app

HERE = Path(__file__).parent
Layer = Literal["mode", "cause"]
LAYERS: tuple[Layer, ...] = ("mode", "cause")
Row = Mapping[str, Any]
Ranking = Callable[[Row, Layer], Sequence[str]]
TAKEN = ("machine", "refrigerant", "findings", "readings", "circumstances", "conditions", "baseline")


@cache
def rows() -> tuple[Row, ...]:
    """The sealed cases, checked against their hash."""
    raw = lzma.decompress((HERE / "sealed.jsonl.xz").read_bytes())
    if hashlib.sha256(raw).hexdigest() != (HERE / "SEALED.sha256").read_text(encoding="ascii").strip():
        raise ValueError("the sealed cases are not those that were sealed")
    return tuple(in_our_units(json.loads(line)) for line in raw.decode().splitlines())


@cache
def client() -> TestClient:
    """The service, in this process."""
    return TestClient(app)


@cache
def _asked(body: str) -> Row:
    answer = client().post("/v1/diagnosis", content=body, headers={"content-type": "application/json"}).json()
    result: Row = answer.get("result", {"modes": [], "causes": [], "verdict": {"state": "refused"}})
    return result


def answered(row: Row) -> Row:
    """The diagnosis of a case; one that is refused names nothing."""
    body = {key: row["input"][key] for key in TAKEN if row["input"].get(key) is not None}
    body["want"] = {"explanation": False, "next_checks": False, "all_modes": True, "all_causes": True}
    return _asked(json.dumps(body, sort_keys=True))


def service(row: Row, layer: Layer) -> Sequence[str]:
    """The ranking of the service."""
    return [one["id"] for one in answered(row)[f"{layer}s"]]


def priors(_row: Row, layer: Layer) -> Sequence[str]:
    """Knows nothing of the case."""
    nothing = _asked(
        json.dumps({"want": {"explanation": False, "next_checks": False, "all_modes": True, "all_causes": True}})
    )
    return [one["id"] for one in nothing[f"{layer}s"]]


def commonest(_row: Row, layer: Layer) -> Sequence[str]:
    """Knows how often each is named in these very cases, and nothing else."""
    return [key for key, _ in Counter(row[layer][0] for row in rows() if row[layer]).most_common()]


def within(ranking: Ranking, layer: Layer, first: int, chosen: Sequence[Row] | None = None) -> Share:
    """How often one of the named ones stands among the first, of the cases whose source names one."""
    asked = [row for row in (rows() if chosen is None else chosen) if row[layer]]
    return Share(sum(bool({*row[layer]} & {*ranking(row, layer)[:first]}) for row in asked), len(asked))
