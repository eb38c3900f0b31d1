"""Posteriors of the described cases, kept to be compared with: `python -m tests.diagnosis.recorded` records them anew.

To be done where figures of the knowledge or a described case were changed on purpose, never for a change of the engine:
what is recorded first came from the engine before it was rewritten.
"""

from __future__ import annotations

import json
from pathlib import Path

from witnessmark.diagnosis.answer.inquiry import Inquiry, inquire
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.review.case_set import read_cases

FILE = Path(__file__).parent / "data" / "recorded_posteriors.json"
CASES = Path(__file__).parent / "cases"
RENAMED: dict[str, str] = {}
"""Ids of modes and causes that have another name since, old to new."""
DIGITS = 11
NO_MODE = "no mode"


def recorded() -> dict[str, dict[str, float]]:
    """By id of the case: the probability of every mode and cause, and of no mode at all."""
    kept = json.loads(FILE.read_text("utf-8"))
    return {
        case: {RENAMED.get(node, node): value for node, value in zip(kept["nodes"][number], values, strict=True)}
        for case, (number, *values) in kept["cases"].items()
    }


def posteriors(inquiry: Inquiry) -> dict[str, float]:
    """The same of an inquiry."""
    chances = zip(inquiry.net.nodes, inquiry.answer.probability[0].tolist(), strict=True)
    return {NO_MODE: float(inquiry.answer.none[0]), **dict(chances)}


def write(values: dict[str, dict[str, float]]) -> None:
    """One line a case; lists of nodes once."""
    lists = list(dict.fromkeys(tuple(nodes) for nodes in values.values()))
    rows = []
    for case, chances in values.items():
        rounded = [lists.index(tuple(chances)), *(round(value, DIGITS) for value in chances.values())]
        rows.append(f"{json.dumps(case)}: {json.dumps(rounded)}")
    nodes = ",\n".join(json.dumps(nodes) for nodes in lists)
    FILE.write_text('{"nodes": [\n' + nodes + '\n],\n"cases": {\n' + ",\n".join(rows) + "\n}}\n", "utf-8")


if __name__ == "__main__":
    inquiries = {described.id: inquire(knowledge(), described.case) for described in read_cases(CASES)}
    write({key: posteriors(inquiry) for key, inquiry in inquiries.items() if inquiry.posterior.exact})
