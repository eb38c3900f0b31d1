"""`witnessmark-client trend log.csv --out report.html`: the log goes to the service, a page for people comes back."""

from __future__ import annotations

import argparse
import base64
import gzip
import html
import json
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, TextIO

from witnessmark_client._answers import Answer
from witnessmark_client._clients import Client
from witnessmark_client._exceptions import WitnessmarkError
from witnessmark_client._files import FileError, overwritable, spare, unwritten

URL = "http://127.0.0.1:8000"
FORMS = {".arrow": "arrow", ".arrows": "arrow", ".parquet": "parquet"}
"""By the ending of the file; all others are delimited text."""
FOUND, NOTHING, CANNOT_TELL, REFUSED = 1, 0, 2, 3
"""What the command ends with: episodes found, nothing found, cannot tell, the log or its options cannot be used."""
EXIT = {"episodes found": FOUND, "nothing found": NOTHING, "cannot tell": CANNOT_TELL}
QUANTITIES = (
    "suction_pressure", "discharge_pressure", "suction_temperature", "discharge_temperature", "liquid_temperature",
    "ambient_temperature", "evaporating_temperature", "condensing_temperature", "current", "speed", "running",
    "defrost",
)  # fmt: skip
LONGEST_HEAD, MOST_LINES = 65_536, 30
"""Bytes, and lines of words before the names, that are looked at."""
_MEANING = re.compile(r"(?P<quantity>[a-z_]+)(?:#(?P<compressor>[0-9]{1,2}))?(?:\[(?P<unit>[^\]]+)\])?")
HELP = """Send the log of one machine to the service and write what it shows as one page.

Columns are told by --column HEADER=QUANTITY[UNIT], once for each; of several compressors by
QUANTITY#NUMBER[UNIT]. Headers that are written so themselves, as in suction_pressure[psig], need no telling.
Quantities: {quantities}."""
EXAMPLE = """examples:
  witnessmark-client trend log.csv --refrigerant R-410A --zone Europe/Madrid --out report.html
  witnessmark-client trend log.csv --refrigerant R-404A --time Stamp --column "Ps=suction_pressure[barg]" \\
      --column "Ts=suction_temperature[degC]" --column "Run=running" --pump-down

ends with 0 nothing found, 1 episodes found, 2 cannot tell, 3 the log or an option cannot be used"""


def add_trend(subparsers: Any) -> None:
    """Add the command to the parsers of the client; its function is `run` of the parsed arguments."""
    text = HELP.format(quantities=", ".join(QUANTITIES))
    parser = subparsers.add_parser(
        "trend", help="what the log of a machine shows", description=text, epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    parser.add_argument("log", help="delimited text, gzip or not, Parquet or Arrow; - for text from a pipe")
    parser.add_argument("--out", help="the page to write; left out, a summary alone is printed")
    overwritable(parser)
    parser.add_argument("--refrigerant", required=True, help="such as R-410A")
    parser.add_argument("--time", default="time", help="header of the times (default: time)")
    parser.add_argument("--time-form", help="iso (default), day-first, month-first, epoch-seconds, epoch-milliseconds")
    parser.add_argument("--zone", help="IANA zone of the clock, where the times have no offset")
    parser.add_argument("--column", action="append", default=[], metavar="HEADER=QUANTITY[UNIT]")
    parser.add_argument("--compressor", help="scroll, reciprocating, rotary, screw")
    parser.add_argument("--application", help="air-conditioning, medium-temperature, low-temperature")
    parser.add_argument("--pump-down", action="store_true", help="it pumps down at each stop")
    parser.add_argument("--hours", type=float, default=72.0, help="hours before the end that the picture shows")
    parser.add_argument("--units", choices=("SI", "IP", "bar"), default="SI", help="of the answer")
    parser.add_argument("--url", default=os.environ.get("WITNESSMARK_URL", URL), help="of the service")
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace, client: Any = None, out: TextIO = sys.stdout) -> int:
    """Ask the service and write the page; what the command ends with."""
    try:
        spare(arguments.log, arguments.out or "-")
        if arguments.out and not arguments.overwrite:
            unwritten(arguments.out)
        request = request_of(arguments, _content(arguments.log))
        with client or Client(arguments.url, timeout=120.0) as asked:
            answer = asked.trend_log(**request)
        if arguments.out:
            Path(arguments.out).write_text(page(arguments.log, answer), "utf-8")
    except (OSError, ValueError, FileError, WitnessmarkError) as error:
        sys.stderr.write(f"trend: {error}\n")
        return REFUSED
    out.write(summary(answer))
    return EXIT.get(answer.result["verdict"], CANNOT_TELL)


def _content(name: str) -> bytes:
    return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()


def request_of(arguments: argparse.Namespace, content: bytes) -> dict[str, Any]:
    """The fields of the request. ValueError for columns that cannot be read."""
    form = FORMS.get(Path(arguments.log).suffix.lower(), "csv")
    packed = content if form != "csv" or content.startswith(b"\x1f\x8b") else gzip.compress(content, 5)
    columns = [_column(*_told(text)) for text in arguments.column]
    columns += _self_told(content, arguments.log, {column["header"] for column in columns}) if form == "csv" else []
    if not columns:
        raise ValueError("no column is told: give --column HEADER=QUANTITY[UNIT]")
    machine = {"compressor": arguments.compressor, "application": arguments.application}
    return {
        "refrigerant": arguments.refrigerant,
        "log": {"packed": base64.b64encode(packed).decode(), "form": form},
        "time_column": arguments.time,
        "time_form": arguments.time_form,
        "time_zone": arguments.zone,
        "columns": columns,
        "machine": {"pump_down": arguments.pump_down, **{k: v for k, v in machine.items() if v}},
        "report_in": arguments.units,
        "want": {"picture": True, "hours": arguments.hours},
    }


def _told(text: str) -> tuple[str, str]:
    header, found, meaning = text.rpartition("=")
    if not found or not header:
        raise ValueError(f"--column {text}: write HEADER=QUANTITY[UNIT]")
    return header, meaning


def _column(header: str, meaning: str) -> dict[str, Any]:
    found = _MEANING.fullmatch(meaning)
    if found is None or found["quantity"] not in QUANTITIES:
        raise ValueError(f"--column {header}={meaning}: the quantity is one of {', '.join(QUANTITIES)}")
    column: dict[str, Any] = {"header": header, "quantity": found["quantity"]}
    if found["unit"]:
        column["unit"] = found["unit"]
    return column | ({"compressor": int(found["compressor"])} if found["compressor"] else {})


def _self_told(content: bytes, name: str, known: set[str]) -> list[dict[str, Any]]:
    """Columns whose headers say what they are."""
    text = gzip.decompress(content) if name.endswith(".gz") else content
    for line in text[:LONGEST_HEAD].decode("utf-8-sig", "replace").splitlines()[:MOST_LINES]:
        headers = [part.strip().strip('"').strip() for part in re.split(r"[,;\t|]", line)]
        matches = ((header, _MEANING.fullmatch(header)) for header in headers if header not in known)
        if told := [_column(header, header) for header, found in matches if found and found["quantity"] in QUANTITIES]:
            return told
    return []


def summary(answer: Answer) -> str:
    """A few lines for the terminal."""
    result = answer.result
    lines = [f"{result['verdict']}: {len(result['episodes'])} episode(s) in {result['quality']['kept']} rows"]
    lines += [f"  {e['start']}  {e['title']} ({e['severity']}, {e['certainty']:.0%} sure)" for e in result["episodes"]]
    blind = sorted({w["kind"] for w in result["watched"] if not w["looked"]})
    lines += [f"  {r['start']}  {r['text']}" for r in result.get("remarks", ())]
    lines += [f"  not looked for, columns are missing or the log is too short: {', '.join(blind)}"] if blind else []
    return "\n".join(lines) + "\n"


def page(name: str, answer: Answer) -> str:
    """One page that needs nothing else."""
    result = answer.result
    body = [f"<h1>Log {_text(Path(name).name)}: {_text(result['verdict'])}</h1>", _read(result["quality"])]
    body += ["<h2>Episodes</h2>", *map(_episode, result["episodes"])] if result["episodes"] else []
    if result.get("picture"):
        body.append(f"<figure>{_svg(result['picture'])}<figcaption>The hours before the end.</figcaption></figure>")
    if result.get("remarks"):
        body += ["<h2>Not clear</h2>", _list([f"{r['start']} to {r['end']}: {r['text']}" for r in result["remarks"]])]
    body += ["<h2>Not looked for</h2>", _list(_blind(result["watched"]))] if _blind(result["watched"]) else []
    if result["findings"]:
        told = json.dumps({"findings": result["findings"]}, indent=1)
        body.append(f"<h2>Findings for a diagnosis</h2><pre>{_text(told)}</pre>")
    body += ["<h2>Assumptions</h2>", _list(answer.assumptions)]
    body += ["<h2>Cautions</h2>", _list([caution["text"] for caution in answer.cautions])]
    body += ["<h2>Sources</h2>", _list([f"{s['citation']} ({s['trust']})" for s in answer.sources])]
    title = f"Log {_text(Path(name).name)}"
    head = f'<!doctype html>\n<html lang="en"><meta charset="utf-8"><title>{title}</title>{_STYLE}'
    return f"{head}\n{''.join(body)}\n</html>\n"


_STYLE = (
    "<style>body{font:16px/1.5 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:#22313f}"
    "table{border-collapse:collapse}td,th{border:1px solid #dde3e8;padding:.2rem .6rem;text-align:left}"
    "svg{max-width:100%;height:auto}pre{overflow-x:auto}@media print{body{margin:0}}</style>"
)


def _text(value: object) -> str:
    return html.escape(str(value))


def _list(items: Sequence[str]) -> str:
    return f"<ul>{''.join(f'<li>{_text(item)}</li>' for item in items)}</ul>"


def _svg(picture: str) -> str:
    return picture[picture.find("<svg") :]


def _blind(watched: Sequence[dict[str, Any]]) -> list[str]:
    return [f"{w['kind']} (lacking: {', '.join(w['lacking'])})" for w in watched if not w["looked"]]


def _read(quality: dict[str, Any]) -> str:
    names = ("rows", "kept", "unreadable", "without_time", "repeated_hour", "jumps", "overlapping", "gaps")
    told = ", ".join(f"{name.replace('_', ' ')} {quality[name]}" for name in names if quality[name])
    return f"<p>{_text(quality['first'])} to {_text(quality['last'])}: {_text(told)}.</p>"


def _episode(found: dict[str, Any]) -> str:
    heads = f"<h3>{_text(found['title'])}, {_text(found['severity'])}</h3>"
    when = f"{found['start']} to {found['end']}, {found['parts']} stretch(es), {found['certainty']:.0%} sure"
    rows = "".join(_reading(reading) for reading in found["readings"])
    table = f"<table><tr><th>reading</th><th>value</th></tr>{rows}</table>" if rows else ""
    sensors = f"<p>Sensors: {_text(', '.join(found['sensors']))}</p>" if found["sensors"] else ""
    return f"{heads}<p>{_text(when)}</p><p>{_text(found['text'])}</p>{sensors}{table}"


def _reading(reading: dict[str, Any]) -> str:
    width = f" ± {reading['uncertainty']:.2g}" if reading["uncertainty"] else ""
    unit = "" if reading["unit"] == "1" else f" {reading['unit']}"
    name = _text(reading["name"].replace("_", " "))
    return f"<tr><td>{name}</td><td>{reading['value']:.4g}{width}{_text(unit)}</td></tr>"
