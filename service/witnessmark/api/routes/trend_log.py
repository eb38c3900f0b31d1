"""POST /v1/trend-log."""

from __future__ import annotations

import base64
import binascii
import re
from collections.abc import Sequence
from datetime import UTC

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.trend_answer import shown
from witnessmark.api.routing import calculation, version_one
from witnessmark.api.schemas import trend_log as wire
from witnessmark.api.units import dimensions
from witnessmark.calculations.compressor.operating_limits import OperatingMachine
from witnessmark.cleanup.schedule import zone as zone_of
from witnessmark.errors import InputError
from witnessmark.trend import log as core_log
from witnessmark.trend import tables
from witnessmark.trend.assess import assess
from witnessmark.trend.channels import PRESSURES, TEMPERATURES, Column, LogChannel
from witnessmark.trend.derived import Point
from witnessmark.trend.episode import Plant

router = version_one("diagnosis")
_UNIT_OF_HEADER = re.compile(r"[\[(]\s*([^\[\]()\s]{1,12})\s*[\])]\s*$")
"""A unit in brackets at the end of a header."""
AS_CURRENT = {"W": 1.0 / 230.0, "kW": 1000.0 / 230.0}
"""A for one of it: a log of power tells of running, standing still and dropping out as one of current does."""
INSTEAD: dict[LogChannel, LogChannel] = {
    "evaporating_temperature": "suction_pressure",
    "condensing_temperature": "discharge_pressure",
}
"""What is read instead of a temperature that the controller worked out of it."""
MOST_NAMED = 20
SUMMARY = "What happened before: episodes in the log of a machine"


@calculation(router, "/trend-log", SUMMARY, max_body_size=wire.LARGEST_LOG)
def trend_log(body: wire.TrendLogRequest) -> wire.TrendLogAnswer:
    """Read a controller's log of minutes to years and say what in it hurts a compressor, from when to when.

    Starts, defrosts, pump-downs at each stop and weather are told apart from faults. What the log cannot show is named;
    a log counts as clean only where liquid returning could have been seen. `findings` go into `/v1/diagnosis`.
    """
    context = RequestContext.of(body)
    zone = None if body.time_zone is None else zone_of(body.time_zone)
    table = _table(body.log)
    logs = core_log.read(table, body.time_column, body.time_form, zone, _columns(context, body.columns))
    _say_unused(context, body, table.headers)
    found = assess(logs, _plant(context, body), _envelope(context, body))
    return shown(context, body, found, zone or UTC)


def _table(log: wire.LogContent) -> tables.Table:
    if log.csv is not None:
        return tables.text(log.csv.encode())
    if log.columns is not None:
        return tables.columns(log.columns)
    try:
        content = base64.b64decode(log.packed or "", validate=True)
    except (binascii.Error, ValueError):
        raise InputError("log.packed", "not base64", "a file in base64 (RFC 4648, section 4)") from None
    return tables.packed(content, log.form)


def _say_unused(context: RequestContext, body: wire.TrendLogRequest, headers: Sequence[str]) -> None:
    """Name the columns of the log that nothing was read from."""
    named = {column.header.strip(): column for column in body.columns}
    given = {(column.quantity, column.compressor) for column in body.columns}
    beside = [
        header
        for header, column in named.items()
        if {(INSTEAD.get(column.quantity), number) for number in (column.compressor, 0)} & given
    ]
    known = {*named, body.time_column.strip()}
    unnamed = [header for header in headers if header.strip() not in known]
    for headers_of, why in ((unnamed, "the request says of none what it is"), (beside, "the pressure is read instead")):
        if headers_of:
            shown = ", ".join(f"`{header[:60]}`" for header in headers_of[:MOST_NAMED])
            more = f" and {len(headers_of) - MOST_NAMED} more" if len(headers_of) > MOST_NAMED else ""
            context.assume(f"Columns of the log that were not used, since {why}: {shown}{more}.")


def _columns(context: RequestContext, named: Sequence[wire.LogColumn]) -> list[Column]:
    return [_column(context, place, column) for place, column in enumerate(named)]


def _column(context: RequestContext, place: int, column: wire.LogColumn) -> Column:
    """Factor and offset of a column.

    Errors: InputError (columns.N.unit) for a unit that is none of its quantity, or not that of its header.
    """
    kind = "pressure" if column.quantity in PRESSURES else "temperature" if column.quantity in TEMPERATURES else ""
    if not kind:
        if column.quantity == "current" and column.unit not in {None, "A", *AS_CURRENT}:
            raise InputError(f"columns.{place}.unit", "no unit of a current", ", ".join(("A", *AS_CURRENT)))
        if column.quantity == "current" and column.unit in AS_CURRENT:
            context.assume(f"{column.header[:60]}: a power, taken as the current of it at 230 V; only shares count.")
        return Column(column.header, column.quantity, AS_CURRENT.get(column.unit or "", 1.0), 0.0, column.compressor)
    units = dimensions()[kind].units
    if column.unit is None or column.unit not in units:
        raise InputError(f"columns.{place}.unit", f"no unit of a {kind}", ", ".join(units))
    stated = _UNIT_OF_HEADER.search(column.header)
    if stated is not None and stated[1] in units and stated[1] != column.unit:
        fault = f"the header says {stated[1]}, which is another unit"
        raise InputError(f"columns.{place}.unit", fault, f"{stated[1]}, or a header that names no other unit")
    unit = units[column.unit]
    offset = context.air_pressure() if unit.gauge else unit.offset
    return Column(column.header, column.quantity, unit.factor, offset, column.compressor, unit.vacuum)


def _plant(context: RequestContext, body: wire.TrendLogRequest) -> Plant:
    machine = body.machine
    operating = OperatingMachine(
        body.refrigerant, machine.compressor, machine.application, machine.cooling, context.air_pressure()
    )
    return Plant(operating, machine.pump_down, machine.turn_down)


def _envelope(context: RequestContext, body: wire.TrendLogRequest) -> list[Point]:
    """The corners, K."""
    corners = body.envelope or []
    return [
        (
            context.read(corner.evaporating, f"envelope.{n}.evaporating", *wire.ENVELOPE).value,
            context.read(corner.condensing, f"envelope.{n}.condensing", *wire.ENVELOPE).value,
        )
        for n, corner in enumerate(corners)
    ]
