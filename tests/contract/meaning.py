"""What version 1 means beyond the document: a caller that sends and reads the same must not be answered otherwise.

Recorded in meaning.json: what each unit is in SI, which unit answers are shown in, the columns of many rows, the ranges
of readings with the instrument that stands in for an uncertainty that was not given, the status of each kind of
problem. More of anything is additive, and so is a wider range of readings. `make golden` records anew, which is how a
change of meaning is agreed to (CHANGELOG, old -> new).
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from witnessmark.api.bulk.calculations import calculations
from witnessmark.api.bulk.inputs import inputs
from witnessmark.api.bulk.outputs import Told, outputs
from witnessmark.api.context import Request
from witnessmark.api.mapping import mark
from witnessmark.api.problems import KINDS
from witnessmark.api.units import Wire, dimensions
from witnessmark.vocabulary import SystemOfUnits

FILE = Path(__file__).with_name("meaning.json")
SYSTEMS: tuple[SystemOfUnits, ...] = ("SI", "IP", "bar")
Meaning = dict[str, Any]


def meaning() -> Meaning:
    """What is meant today, by name."""
    return dict(sorted([*_units(), *_columns(), *_ranges(), *_problems()]))


def _units() -> Iterator[tuple[str, Any]]:
    for name, dimension in dimensions().items():
        for unit, row in dimension.units.items():
            yield f"unit {name} {unit}", [row.factor, row.offset, row.gauge, row.ucum]
        yield from ((f"shown {name} {system}", dimension.shown(system)) for system in SYSTEMS)


def _columns() -> Iterator[tuple[str, Any]]:
    for name, one in calculations().items():
        for path, column in inputs(one.request).items():
            yield f"column taken {name} {path}", [column.kind, column.required]
        for system in SYSTEMS[:2]:
            for answered in outputs(one.result, Told(system), one.left_out):
                yield f"column answered {name} {system} {answered.name}", answered.kind


def _ranges() -> Iterator[tuple[str, Any]]:
    for model in sorted({*_below(Request), *_below(Wire)}, key=lambda kind: kind.__name__):
        for field, told in model.model_fields.items():
            if (span := mark(told)) is not None:
                yield f"range {model.__name__}.{field}", [span.low, span.high, span.instrument, span.sample]


def _below(model: type[BaseModel]) -> Iterator[type[BaseModel]]:
    for kind in model.__subclasses__():
        if kind.__module__.startswith("witnessmark."):
            yield kind
        yield from _below(kind)


def _problems() -> Iterator[tuple[str, Any]]:
    return ((f"problem {slug}", kind.status) for slug, kind in KINDS.items())


def altered(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    """What in `new` means something else to a caller of `old`; empty if nothing does."""
    found = [f"{name}: gone" for name in old.keys() - new.keys()]
    found += [
        f"{name}: {old[name]} -> {new[name]}"
        for name in old.keys() & new.keys()
        if _differs(name, old[name], new[name])
    ]
    found += [f"{name}: newly required" for name in new.keys() - old.keys() if _asks_more(name, new[name], old)]
    return sorted(found)


def _differs(name: str, old: Any, new: Any) -> bool:
    if name.startswith("range "):
        return bool(new[0] > old[0] or new[1] < old[1] or new[2:] != old[2:])
    if name.startswith("column taken "):
        return bool(new[0] != old[0] or new[1] > old[1])
    return bool(old != new)


def _asks_more(name: str, new: Any, old: Mapping[str, Any]) -> bool:
    """A new column that must be there, of a calculation that was."""
    own = name.rpartition(" ")[0] + " "
    return name.startswith("column taken ") and new[1] and any(other.startswith(own) for other in old)


def write() -> None:
    """Record what is meant today."""
    rows = [f"{json.dumps(name, ensure_ascii=False)}: {json.dumps(value)}" for name, value in meaning().items()]
    FILE.write_text("{\n" + ",\n".join(rows) + "\n}\n", "utf-8")


def recorded() -> Meaning:
    """What was recorded."""
    found: Meaning = json.loads(FILE.read_text("utf-8"))
    return found
