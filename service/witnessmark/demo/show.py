"""A worked case as a person at a terminal would want to read it: what is known first, what to do, what to try next."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from witnessmark.casework.document import at
from witnessmark.casework.report.free_text import line
from witnessmark.casework.report.numbers import quantity
from witnessmark.diagnosis.catalogue.decisions import decisions

Json = Mapping[str, Any]
BAR, INDENT = 12, 2
MOST_CAUTIONS = 3
NUMBERS = (
    ("compression", "suction_dew_temperature", "Evaporating temperature (dew)"),
    ("superheat", "superheat", "Superheat"),
    ("subcooling", "subcooling", "Subcooling"),
)
"""Numbers of a short page: part, field, and what it is called."""


@dataclass(frozen=True, slots=True)
class Detail:
    """How many lines of the headline, hypotheses of a kind, numbers and questions a page shows."""

    headline: int
    ranked: int
    numbers: int
    asked: int


DETAILS = (Detail(9, 3, 5, 2), Detail(9, 2, 3, 2), Detail(8, 2, 2, 1), Detail(6, 2, 1, 1), Detail(4, 1, 0, 0))
"""From a wide terminal to a narrow one; cautions and the next step are never cut."""


def short(case: Json, result: Json, detail: Detail) -> Iterator[RenderableType]:
    """The page of one screen."""
    yield from opening(case)
    yield from _headline(result, detail.headline)
    yield from _ranked(result, detail.ranked)
    yield from _numbers(result, detail.numbers)
    yield from _onward(result, detail.asked)


def opening(case: Json) -> Iterator[RenderableType]:
    """What the case is."""
    machine = case["machine"]
    about = (case.get("refrigerant"), *(machine.get(k) for k in ("compressor", "shell", "construction", "phases")))
    yield Text(f"{machine['name']} ({case['site']['name']}; invented)", "bold")
    yield Text(", ".join(str(word) for word in about if word), "dim")
    yield Text(f"The call: {line(case['complaint'])}")


def _headline(result: Json, most: int) -> Iterator[RenderableType]:
    yield heading("What is known")
    yield from bullets(result["headline"][:most])
    yield from bullets((entry["text"] for entry in result["contradictions"]), "≠")


def _ranked(result: Json, most: int) -> Iterator[RenderableType]:
    """Modes and causes with bars. Several may be true at once."""
    for kind, measure, title in (
        ("modes", "probability", "How it failed (several may be true at once)"),
        ("causes", "at_work", "Why, in the system"),
    ):
        rows = (at(result, f"parts.diagnosis.result.{kind}") or ())[:most]
        if rows:
            yield heading(title)
            yield Padding(Group(*(_bar(row, measure) for row in rows)), (0, 0, 0, INDENT))


def _bar(row: Json, measure: str) -> RenderableType:
    share = row[measure]
    filled = round(share * BAR)
    grid = _grid()
    shown = f"{min(99, max(1, round(100 * share)))} %"
    grid.add_row(
        Text("█" * filled + "░" * (BAR - filled), "cyan"),
        Text(f"{shown:>5}"),
        f"{row['name']}: {decisions().word(share)}",
    )
    return grid


def _grid() -> Table:
    grid = Table.grid(padding=(0, 1))
    for _ in range(2):
        grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    return grid


def _numbers(result: Json, most: int) -> Iterator[RenderableType]:
    """Numbers with one standard uncertainty."""
    found = [(label, at(result, f"parts.{part}.result.{field}")) for part, field, label in NUMBERS]
    found += [(n["text"], n["value"]) for n in at(result, "parts.diagnosis.result.derived") or ()]
    told: dict[str, str] = {}
    for label, value in found:
        if value is not None and quantity(value) not in told.values():
            told[label] = quantity(value)
    if told and most:
        yield heading("Numbers (± one standard uncertainty)")
        yield from bullets(f"{label}: {value}" for label, value in list(told.items())[:most])


def _onward(result: Json, most: int) -> Iterator[RenderableType]:
    step = result["next_step"]
    if step is not None:
        yield heading("Next step")
        yield marked("→", step["text"], "bold")
    questions = [question["text"] for question in result["questions"] if question["text"] != (step or {}).get("text")]
    if questions and most:
        yield heading("Ask or look next")
        yield from bullets(questions[:most], "?")


def cautions(answer: Any) -> Iterator[RenderableType]:
    """Those of the next step; none is ever cut."""
    texts = [caution["text"] for caution in answer.cautions]
    yield heading("Before anybody works on it", "bold yellow")
    yield from (marked("!", text, "yellow") for text in texts[:MOST_CAUTIONS])
    if more := len(texts) - MOST_CAUTIONS:
        yield Text(f"  {more} more cautions stand in the report." if more > 1 else "  One more stands in the report.")


def whole(answer: Any) -> Iterator[RenderableType]:
    """Everything that the short page leaves out: evidence, plan, gate, timeline, cautions, assumptions."""
    result = answer.result
    for title, path, field in _LISTS:
        yield from _titled(title, (str(entry[field]) for entry in at(result, path) or ()))
    gate = at(result, "parts.restart.result.checks") or ()
    yield from _titled(
        "Gate before the start", (f"{c['title']}: {c['state']}" for c in gate if c["state"] != "not required")
    )
    yield from _titled("Timeline", (f"{e['local'][:16].replace('T', ' ')} {e['what']}" for e in result["timeline"]))
    yield from _titled("All cautions", (caution["text"] for caution in answer.cautions), "!")
    yield from _titled("Assumed", answer.assumptions)
    version = answer.model_version
    yield Text(f"\nservice {version['service']}, {version['property_library']}, knowledge {version['knowledge']}")


_LISTS = (
    ("Evidence", "parts.diagnosis.result.used", "text"),
    ("Reasoning", "parts.diagnosis.result.explanations", "text"),
    ("Next checks", "parts.diagnosis.result.next_checks.checks", "how"),
    ("Cleanup", "parts.cleanup.result.steps", "text"),
    ("Open questions", "questions", "text"),
)
"""Lists of the whole page: heading, where it stands, the field that is read."""


def _titled(title: str, texts: Iterable[str], mark: str = "•") -> Iterator[RenderableType]:
    shown = list(texts)
    if shown:
        yield heading(title)
        yield from bullets(shown, mark)


def closing(name: str, reports: Iterable[str], others: Iterable[str]) -> Iterator[RenderableType]:
    """Where the reports lie, and what to try next."""
    yield heading("Its report")
    yield from bullets(reports)
    other = next((case for case in others if case != name), name)
    yield heading("Try next")
    yield from bullets(
        (
            f"witnessmark demo --full --case {shlex.quote(name)}",
            f"witnessmark demo --case {shlex.quote(other)} (all: witnessmark demo --list)",
            "witnessmark serve, then open http://127.0.0.1:8000/guide/",
        ),
        "$",
    )


def listed(cases: Mapping[str, Json]) -> Iterator[RenderableType]:
    """The names of the cases with machine and call."""
    for name, case in cases.items():
        yield Text(name, "bold")
        yield Padding(
            Text(f"{case['machine']['name']}, {case['refrigerant']}: {line(case['complaint'])}"), (0, 0, 0, 2)
        )


def heading(text: str, style: str = "bold cyan") -> Text:
    """A heading below an empty line."""
    return Text(f"\n{text}", style)


def bullets(texts: Iterable[str], mark: str = "•") -> Iterator[RenderableType]:
    """A list."""
    return (marked(mark, text) for text in texts)


def marked(mark: str, text: str, style: str = "") -> RenderableType:
    """A text behind a mark, its further lines below its first."""
    grid = Table.grid(padding=(0, 1, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    grid.add_row(f"  {mark}", Text(line(text), style))
    return grid


__all__ = ["cautions", "closing", "listed", "opening", "short", "whole"]
