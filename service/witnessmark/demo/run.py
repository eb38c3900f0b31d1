"""Run a demo case: start a service if none is given, ask, write the report, print, stop."""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from rich.console import Console, RenderableType

from witnessmark.demo import cases, show
from witnessmark.demo.server import StartError, server
from witnessmark_client import Answer, Client, WitnessmarkError

LINES = 60
FOLDER = Path("demo-report")
"""Where the reports go, below the folder of whoever asks."""
KINDS: dict[str, Literal["text/html", "application/pdf"]] = {"html": "text/html", "pdf": "application/pdf"}


@dataclass(frozen=True, slots=True)
class Wish:
    """What is wanted. case: a name, None for the first; url: a running service, None for one of one's own."""

    case: str | None = None
    full: bool = False
    as_json: bool = False
    list_only: bool = False
    url: str | None = None
    folder: Path = FOLDER


def run(wish: Wish) -> int:
    """Print a case with its answer; returns the exit code."""
    console = Console(highlight=False, markup=False, emoji=False)
    everything = cases.everything()
    if wish.list_only:
        sys.stdout.write(_drawn(console, show.listed(everything)))
        return 0
    name = wish.case or next(iter(everything))
    if name not in everything:
        return _refuse(f"there is no case {name!r}; there are {', '.join(everything)}")
    try:
        with server() if wish.url is None else nullcontext(wish.url) as address, Client(address) as client:
            answer = client.work_case(case=everything[name], want={"everything": True})
            if wish.as_json:
                sys.stdout.write(json.dumps({"case": name, "result": answer.result}) + "\n")
                return 0
            written = [str(path) for path in reports(client, name, everything[name], wish.folder)]
    except WitnessmarkError as error:
        return _refuse(f"{wish.url}: {error}; is `witnessmark serve` running there?" if wish.url else str(error))
    except StartError as error:
        return _refuse(str(error))
    sys.stdout.write(whole(console, name, answer, written) if wish.full else screen(console, name, answer, written))
    return 0


def screen(console: Console, name: str, answer: Answer, written: list[str]) -> str:
    """The page of a case, in at most `LINES` lines where the terminal is 60 columns wide or more."""
    drawn = ""
    for detail in show.DETAILS:
        drawn = _drawn(console, _page(name, answer, written, detail))
        if drawn.count("\n") <= LINES:
            break
    return drawn


def whole(console: Console, name: str, answer: Answer, written: list[str]) -> str:
    """The page of a case with everything that a report says."""
    return _drawn(console, (*_page(name, answer, written, show.DETAILS[0]), *show.whole(answer)))


def _page(name: str, answer: Answer, written: list[str], detail: show.Detail) -> Iterator[RenderableType]:
    yield from show.short(cases.everything()[name], answer.result, detail)
    yield from show.cautions(answer)
    yield from show.closing(name, written, cases.names())


def reports(client: Client, name: str, case: dict[str, Any], folder: Path) -> Iterator[Path]:
    """Write the report of the case in each form; a folder of the system's where that one cannot be written."""
    folder = writable(folder)
    for ending, kind in KINDS.items():
        written = client.report_case(case=case, accept=kind)
        path = folder / f"{name}.{ending}"
        path.write_bytes(written.content or b"")
        yield path


def writable(folder: Path) -> Path:
    """The folder, made and kept out of version control; one of the system's where it cannot be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / ".gitignore").write_text("*\n", "utf-8")
    except OSError:
        return Path(tempfile.mkdtemp(prefix="witnessmark-"))
    return folder


def _drawn(console: Console, blocks: Iterable[RenderableType]) -> str:
    with console.capture() as drawn:
        for block in blocks:
            console.print(block)
    return "".join(f"{line.rstrip()}\n" for line in drawn.get().splitlines())


def _refuse(why: str) -> int:
    sys.stderr.write(f"witnessmark demo: {' '.join(why.split())}\n")
    return 1
