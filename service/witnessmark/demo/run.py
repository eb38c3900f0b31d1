"""Run the demo case: start a service if none is given, ask, print, stop."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import nullcontext
from importlib.resources import files
from typing import Any

from witnessmark.demo import show
from witnessmark.demo.server import server
from witnessmark_client import Answer, Client, WitnessmarkError


def invented() -> dict[str, Any]:
    """The invented case: one request an operation."""
    loaded: dict[str, Any] = json.loads(files(__package__).joinpath("case.json").read_text("utf-8"))
    return loaded


def ask(client: Client, case: dict[str, Any]) -> dict[str, Answer]:
    """The answers for the case, in the order of the job."""
    site = case["site"]
    return {
        "compression": client.compression(**case["compression"], site=site),
        "superheat": client.superheat(**case["superheat"], site=site),
        "diagnosis": client.diagnose(**case["diagnosis"], site=site),
        "cleanup": client.plan_cleanup(**case["cleanup"], site=site),
    }


def lines(case: dict[str, Any], answers: dict[str, Answer]) -> Iterator[str]:
    """The whole page."""
    yield from show.opening(case)
    yield from show.numbers(answers["compression"].result, answers["superheat"].result)
    yield from show.diagnosis(answers["diagnosis"].result)
    yield from show.cleanup(answers["cleanup"].result)
    yield from show.closing(list(answers.values()))


def run(url: str | None = None, *, as_json: bool = False) -> int:
    """Print the case with its answers; returns the exit code."""
    case = invented()
    try:
        with server() if url is None else nullcontext(url) as address, Client(address) as client:
            answers = ask(client, case)
    except WitnessmarkError as error:
        sys.stderr.write(f"witnessmark demo: {error}\n")
        return 1
    if as_json:
        page = [json.dumps({"operation": name, "result": answer.result}) for name, answer in answers.items()]
    else:
        page = list(lines(case, answers))
    sys.stdout.write("\n".join(page) + "\n")
    return 0
