"""Which operations take rows, and how one row is answered: by the function of the single operation."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from types import SimpleNamespace
from typing import Any, get_type_hints

from pydantic import BaseModel, ValidationError

from witnessmark.api.context import Request, Site
from witnessmark.api.problems import Problem, unfit, unusable
from witnessmark.api.routes import (
    accumulator,
    compression,
    diagnosis,
    dispatch,
    evacuation,
    filter_log,
    insulation,
    leak_rate,
    moisture_limit,
    noncondensables,
    oil_quality,
    oil_return,
    pressure_test,
    refrigerant_quality,
    saturation,
    supply_unbalance,
    wet_suction,
    windings,
)
from witnessmark.api.schemas.dispatch import CallOutcome, DispatchRequest
from witnessmark.calculations.metrology.atmosphere import SEA_LEVEL_PRESSURE
from witnessmark.errors import InputError

_QUICK, _STATES, _REASONED = 10_000_000, 500_000, 20_000
"""Rows of one request: in columns, with states of the refrigerant row by row, with reasoning row by row."""


@dataclass(frozen=True, slots=True)
class Calculation:
    """An operation over rows. most_rows: of one request; left_out: parts of a result that are no columns."""

    name: str
    request: type[Request]
    result: type[BaseModel]
    answer: Callable[[Any], Any]
    most_rows: int
    left_out: frozenset[str] = frozenset()


@dataclass(slots=True)
class Notes:
    """What stands beside the results, once for all rows."""

    assumptions: dict[str, None] = field(default_factory=dict)
    cautions: dict[str, None] = field(default_factory=dict)
    sources: dict[str, None] = field(default_factory=dict)

    def add(self, answer: Any) -> None:
        """Of one more answer."""
        self.assumptions.update(dict.fromkeys(map(of_all_rows, answer.assumptions)))
        self.cautions.update(dict.fromkeys(note.id for note in answer.cautions))
        self.sources.update(dict.fromkeys(note.id for note in answer.sources))

    def merge(self, other: Notes) -> None:
        """Those of other rows."""
        for name in ("assumptions", "cautions", "sources"):
            getattr(self, name).update(getattr(other, name))


_OF_ONE_ROW = re.compile(r"^(\S+): standard uncertainty .* taken for its instrument \((.*)\)\.$")


def of_all_rows(assumption: str) -> str:
    """The same without the figure that differs from row to row."""
    if (match := _OF_ONE_ROW.match(assumption)) is not None:
        return instrument_taken(match[1], match[2])
    return assumption


def instrument_taken(path: str, instrument: str) -> str:
    """What is assumed where a reading came without an uncertainty."""
    return f"{path}: where no uncertainty was given, that of its instrument was taken ({instrument.replace('-', ' ')})."


def one(calculation: Calculation, body: Any) -> Any | Problem:
    """The answer to one request, or the problem that the single operation would answer with."""
    try:
        return calculation.answer(calculation.request.model_validate(body))
    except ValidationError as error:
        return unfit(error.errors())
    except InputError as error:
        return unusable(error, body, _air_pressure(body))


def _air_pressure(body: Mapping[str, Any]) -> float:
    try:
        return Site.model_validate(body["site"]).air_pressure() if "site" in body else SEA_LEVEL_PRESSURE
    except (InputError, ValidationError):
        return SEA_LEVEL_PRESSURE


def _operation(name: str, function: Callable[..., Any], most_rows: int, *left_out: str) -> Calculation:
    hints = get_type_hints(function)
    result = hints["return"].model_fields["result"].annotation
    return Calculation(name, hints["body"], result, _at_once(function), most_rows, frozenset(left_out))


def _at_once(function: Callable[..., Any]) -> Callable[[Any], Any]:
    """The answer of a route that waits for nothing."""

    def answer(body: Any) -> Any:
        found = function(body)
        if not hasattr(found, "send"):
            return found
        try:
            found.send(None)
        except StopIteration as done:
            return done.value
        raise RuntimeError("the operation waits for something")

    return answer


def _dispatched(body: DispatchRequest) -> Any:
    answer = dispatch.one_call(body)
    outcome = answer.result.calls[0].outcome
    return SimpleNamespace(
        result=outcome, assumptions=answer.assumptions, cautions=answer.cautions, sources=answer.sources
    )


@cache
def calculations() -> Mapping[str, Calculation]:
    """Every operation over rows, by the last part of its address."""
    rows = (
        _operation("saturation", saturation.saturation, _QUICK),
        _operation("superheat", saturation.superheat, _QUICK, "limits"),
        _operation("subcooling", saturation.subcooling, _QUICK, "limits"),
        _operation("compression", compression.compression, _STATES),
        _operation("wet-suction", wet_suction.wet_suction, _STATES),
        _operation("accumulator", accumulator.accumulator, _STATES),
        _operation("noncondensables", noncondensables.noncondensables, _STATES),
        _operation("oil-return", oil_return.oil_return, _STATES),
        _operation("supply-unbalance", supply_unbalance.supply_unbalance, _STATES),
        _operation("insulation", insulation.insulation, _STATES),
        _operation("windings", windings.windings, _STATES),
        _operation("pressure-test", pressure_test.pressure_test, _STATES),
        _operation("evacuation", evacuation.evacuation, _REASONED),
        _operation("leak-rate", leak_rate.leak_rate, _STATES),
        _operation("oil-quality", oil_quality.oil_quality, _STATES),
        _operation("refrigerant-quality", refrigerant_quality.refrigerant_quality, _STATES),
        _operation("moisture-limit", moisture_limit.moisture_limit, _STATES),
        _operation("filter-log", filter_log.judge_filter_log, _REASONED),
        _operation("diagnosis", diagnosis.diagnose, _REASONED),
        Calculation("dispatch", DispatchRequest, CallOutcome, _dispatched, _REASONED),
    )
    return {row.name: row for row in rows}
