"""The page: gates first, then the tables with what each number means and what it does not."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from tests.evaluation import diagram, texts
from tests.evaluation.described import blind_section
from tests.evaluation.gates import CRITERIA, ENOUGH, EXACT, OWN, Gate, gates, of_times, statistical
from tests.evaluation.kept import DECIDES, NO_WORDS
from tests.evaluation.measures import Measured, Notes
from tests.published import rooftop
from witnessmark import __version__, data
from witnessmark.diagnosis.evaluation import tables
from witnessmark.diagnosis.evaluation.estimates import share
from witnessmark.diagnosis.evaluation.outcomes import Sample, joined, together

DOCS = Path(__file__).parents[2] / "docs"
PAGE, PICTURES = DOCS / "EVALUATION.md", DOCS / "pictures"
SIMULATED = ("Simulated machines", "A deliberately different model", "Next checks")
"""Sections that take hours: `--quick` leaves them, and their gates, as they were measured."""
READINGS = "Simulated readings of an air conditioner"
OWN_PICTURE, DIFFERENT_PICTURE, CASES_PICTURE = (f"reliability-{name}.svg" for name in ("own", "different", "cases"))
_REST = texts.REST.partition("{")[0]
_DIGEST = re.compile("data that decide a diagnosis: `([0-9a-f]+)`")
_NOTICE = re.compile(r"\n\*\*[^*]* measured on earlier knowledge [^*]*\*\*[^\n]*\n")


def render(measured: Measured, command: str, old: str = "") -> str:
    """The whole page. Without runs of simulated machines those parts are taken from the old page, as they are."""
    parts = [
        _head(measured, command, old),
        f"## Gates\n\n{texts.GATES}\n{gate_table(measured, old)}\n{texts.TIMES}",
        *(_simulated(together(measured.samples)) if measured.samples else (section(old, name) for name in SIMULATED)),
        f"## Described cases\n\n{measured.described}",
        f"![Chance of the leading mode against how often it was expected](pictures/{CASES_PICTURE})",
        _blind(),
        f"## {READINGS}\n\n{texts.UNITS}\n{measured.units}",
        f"## Rooftop unit\n\n{texts.ROOFTOP}\n{_rooftop(measured)}",
        f"## Job notes\n\n{texts.NOTES}\n{_notes(measured.notes)}",
    ]
    return aged("\n\n".join(part.rstrip() for part in parts) + "\n")


def _blind() -> str:
    parts = {
        blind_section.TITLE: blind_section.text(),
        blind_section.LATER_TITLE: blind_section.later(),
        blind_section.FURTHER_TITLE: blind_section.further(),
    }
    return "\n\n".join(f"## {title}\n\n{text.rstrip()}" for title, text in parts.items()) + "\n"


def with_blind(text: str) -> str:
    """The page with what is kept of the sealed cases written blind; all else is as it was measured."""
    before, after = f"\n## {blind_section.TITLE}\n", f"\n## {READINGS}\n"
    first, rest = text.partition(after)[::2]
    return f"{first.partition(before)[0].rstrip()}\n\n{_blind()}{after}{rest}"


def _head(measured: Measured, command: str, old: str) -> str:
    introduction = _introduction(len(measured.samples), command) if measured.samples else _introduction_of(old)
    return "\n".join([introduction, texts.REST.format(**_versions(DECIDES)), texts.KINDS])


def _versions(below: str | tuple[str, ...]) -> dict[str, str]:
    return {"knowledge": data.version(), "decides": data.version(below)}


def _introduction(seeds: int, command: str) -> str:
    versions = _versions(NO_WORDS)
    return texts.INTRODUCTION.format(command=command, service=__version__, seeds=seeds, **versions).rstrip() + "\n"


def _introduction_of(old: str) -> str:
    return _NOTICE.sub("\n", old.partition(f"\n{_REST}")[0]).rstrip() + "\n"


def aged(text: str) -> str:
    """The page with a notice where a part was measured on other knowledge than the present, and none where not."""
    text = _NOTICE.sub("", text)
    present = {"What is simulated": data.version(NO_WORDS), "What is not simulated": data.version(DECIDES)}
    of = dict(zip(present, _DIGEST.findall(text), strict=False))
    older = [what for what, digest in of.items() if digest != present[what]]
    if not older:
        return text
    what = "Everything" if len(older) == len(of) else older[0]
    notice = texts.OLDER.format(what=what, present=" and ".join(present[one] for one in older))
    title, rest = text.split("\n\n", 1)
    return f"{title}\n\n{notice}\n{rest}"


def section(text: str, name: str) -> str:
    """A section of the page as it stands, its heading included."""
    found = re.search(rf"^## {re.escape(name)}$.*?(?=^## |\Z)", text, re.MULTILINE | re.DOTALL)
    if found is None:
        raise ValueError(f"the page has no section {name}; measure everything")
    return found[0]


def _simulated(whole: Sample) -> Iterator[str]:
    different = whole.different()
    yield f"## {SIMULATED[0]}\n\n{texts.SCENARIOS}\n{tables.scenarios(whole)}"
    yield f"{texts.SKILLS}\n{tables.skills(whole)}"
    yield f"{texts.RATES}\n{tables.rates(whole)}"
    yield f"![Claimed against came true, machines drawn from the knowledge](pictures/{OWN_PICTURE})"
    yield f"## {SIMULATED[1]}\n\n{texts.RELIABILITY.format(enough=ENOUGH)}"
    yield f"![Claimed against came true, a different model](pictures/{DIFFERENT_PICTURE})"
    yield from (tables.reliability(layer, different.claims(layer)) for layer in ("modes", "causes"))
    yield f"## {SIMULATED[2]}\n\n{texts.TRIALS}\n{tables.checks(whole)}"


def pictures(measured: Measured) -> dict[str, str]:
    """The reliability diagrams, by the name of the file; of simulated machines only where there are runs."""
    panels = [("described cases", _stated(measured))]
    return {CASES_PICTURE: diagram.svg("Described cases: the leading mode", panels), **of_runs(measured.samples)}


def of_runs(samples: Sequence[Sample]) -> dict[str, str]:
    """Those of simulated machines."""
    if not samples:
        return {}
    whole = together(samples)
    own, different = joined(whole.outcomes[name] for name in OWN), whole.different()
    return {
        name: diagram.svg(title, [(layer, diagram.points(outcome.claims(layer))) for layer in ("modes", "causes")])
        for name, title, outcome in (
            (OWN_PICTURE, "Machines drawn from the knowledge", own),
            (DIFFERENT_PICTURE, "A deliberately different model", different),
        )
    }


def _stated(measured: Measured) -> list[diagram.Point]:
    rows = measured.scores["all"].calibration
    of = [(stated, share(round(right * number), number)) for stated, right, number in rows]
    return [diagram.Point(stated, found.value, found.low, found.high, found.sample) for stated, found in of]


def gate_table(measured: Measured, old: str = "") -> str:
    """The table of the gates; those on simulated machines from the old page where there are no runs."""
    judged = [_gate(gate) for gate in gates(measured)]
    kept = [] if measured.samples else [_kept(old, criterion.name) for criterion in CRITERIA]
    rows = [*judged[:EXACT], *kept, *judged[EXACT:]]
    return tables.table(("gate", "must be", "measured", "seeds", "who knows nothing", "standing"), rows)


def _kept(old: str, name: str) -> tuple[str, ...]:
    found = re.search(rf"^\| {re.escape(name)} \|.*$", old, re.MULTILINE)
    if found is None:
        raise ValueError(f"the page has no gate {name}; measure everything")
    return tuple(cell.strip() for cell in found[0].strip("| ").split(" | "))


def _gate(gate: Gate) -> tuple[str, ...]:
    words = {True: "held", False: "**not held**", None: "not measured"}
    blind = f"{gate.blind.text}: {'**passes**' if gate.blind.held else 'fails'}" if gate.blind else "-"
    return gate.name, gate.bound, gate.measured, gate.seeds or "-", blind, words[gate.held]


def with_times(text: str, speed: Mapping[int, float]) -> str:
    """The page with the rows of the times replaced; all else is as it was measured."""
    return _with_gates(text, of_times(speed))


def with_runs(text: str, samples: Sequence[Sample], command: str) -> str:
    """The page with what these runs of simulated machines say; all else is as it was measured."""
    first, after = (text.index(f"\n## {name}\n") + 1 for name in (SIMULATED[0], "Described cases"))
    parts = "\n\n".join(part.rstrip() for part in _simulated(together(samples)))
    text = _with_gates(f"{text[:first]}{parts}\n\n{text[after:]}", statistical(samples))
    rest = text.partition(f"\n{_REST}")[2]
    return aged(f"{_introduction(len(samples), command)}\n{_REST}{rest}")


def _with_gates(text: str, judged: Iterable[Gate]) -> str:
    for gate in judged:
        row = f"| {' | '.join(_gate(gate))} |"
        text = re.sub(rf"^\| {re.escape(gate.name)} \|.*$", lambda _, row=row: row, text, flags=re.MULTILINE)  # type: ignore[misc]
    return text


def _notes(notes: dict[str, Notes]) -> str:
    rows = ((name, f"{n.notes}", n.precision.text(".2f"), n.recall.text(".2f")) for name, n in notes.items())
    return tables.table(("part", "notes", "precision", "recall"), rows)


def _rooftop(measured: Measured) -> str:
    if measured.rooftop is None:
        return "The data are not here."
    head = ("blocked", "held against", "hours", "rows", "hours", *rooftop.RATES, "causes acted on", "chance")
    return tables.table(head, measured.rooftop.table)
