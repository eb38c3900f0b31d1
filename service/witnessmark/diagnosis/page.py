"""Writes the knowledge out as Markdown pages that a practitioner can read and dispute, row by row.

The guide holds them, made from the data whenever it is built; `python -m witnessmark.diagnosis.page FOLDER` writes them
alone. The pages use the markup of MyST, which the guide is written in.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
from math import log10
from pathlib import Path

from witnessmark import data
from witnessmark.diagnosis.catalogue.action_rows import Advice
from witnessmark.diagnosis.catalogue.knowledge import load
from witnessmark.diagnosis.catalogue.row_base import Applies
from witnessmark.diagnosis.catalogue.rows import NO_FAULT, Cause, CheckRow, Context, Finding, Knowledge, Link, Mode
from witnessmark.diagnosis.catalogue.triage import triage
from witnessmark.diagnosis.review.lint import figure_sources, trust_counts
from witnessmark.reference import caution, source

DEFAULT = Path("build/knowledge")
GROUPS = {
    "oil": "Oil",
    "mechanical": "Opened: bearings, scroll set, valves, screens",
    "winding": "Opened: motor windings",
    "electrical": "Electrical, in the field",
    "drive": "Drive",
    "running": "Running",
    "history": "History",
    "circuit": "The circuit round the compressor",
    "danger": "Danger to people",
}
INTRODUCTION = """\
# What Witnessmark knows about failed compressors

*Made from the files in `service/witnessmark/diagnosis/knowledge`, knowledge version `{version}`.*

These pages are meant to be argued with. Every figure is one row of a file: name, figure, reason, source. If your shop
sees it otherwise, change the row, write why, set the review date, run `witnessmark check-knowledge` and look at what
changed in the verdicts on the case set.

**How far to trust it.** {counts}. The likelihoods are expert estimates: nobody has published counted frequencies of
teardown findings by failure mode, and none are claimed here. "Direction published" in a reason means that trade
literature says that the finding belongs to the mode; how often is still an estimate. The case set in
`tests/diagnosis/cases` is a development set: figures and rows were changed after it was first run
(`docs/KNOWLEDGE-CASES.md`); agreement with it is agreement with textbooks, not accuracy in the field.

**What the figures say before any finding** (low-side scroll, fixed speed): about a quarter of the compressors in
question have no fault; of the others about half end electrically and about three fifths begin with liquid, lubrication
or heat. Insurers count 60 to 70 % electrical (what ended the machine), teardown shops about 80 % mechanical (what began
it); these are different questions and different populations, so the figures lie between them on purpose.

**How to read the figures.**

* *Prior* of a cause: how often it is present at a compressor that somebody condemned or was called to.
* *Leak* of a mode: how often it is there with none of the listed causes and no other mode behind it.
* *Background* of a finding: how often it is reported with nothing in the model behind it.
* An arrow into a finding: how often the finding is there when only this mode (or cause) is active and somebody looks,
  background included. *Weight* is ten times the logarithm of that figure over the background: 10 dB is ten times as
  often as without.
* An arrow into a mode: how often the cause (or the earlier mode) brings it about.
* Arrows join as a noisy-OR: each acts on its own, any of them is enough.
"""
Lines = Iterator[str]


def pages(knowledge: Knowledge) -> dict[str, str]:
    """Every page by its name: one a mode, a cause and a group of findings, and those that lead to them."""
    written = {"index": _index(knowledge)}
    written |= {f"mode-{mode.id}": _mode(knowledge, mode) for mode in knowledge.modes.values()}
    written |= {f"cause-{cause.id}": _cause(knowledge, cause) for cause in knowledge.causes.values()}
    written |= {f"findings-{group}": _group(knowledge, group, title) for group, title in GROUPS.items()}
    written |= {name: section(knowledge) for name, section in SECTIONS.items()}
    return {name: "\n".join(lines).rstrip() + "\n" for name, lines in written.items()}


def write(folder: Path) -> None:
    """Write the pages of the shipped knowledge."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in pages(load()).items():
        folder.joinpath(f"{name}.md").write_text(text, "utf-8")


def _index(knowledge: Knowledge) -> Lines:
    yield INTRODUCTION.format(counts=_counts(knowledge), version=data.version())
    yield from _contents(SECTIONS)


def _contents(names: Iterable[str]) -> Lines:
    """The pages below this one, as the guide lists them."""
    yield from ("```{toctree}", ":maxdepth: 1", "", *names, "```", "")


def _linked(knowledge: Knowledge, key: str) -> str:
    """The name of a mode or cause, leading to its page."""
    if key in knowledge.modes:
        return f"[{knowledge.modes[key].name}](mode-{key}.md)"
    return f"[{knowledge.causes[key].name}](cause-{key}.md)" if key in knowledge.causes else f"`{key}`"


def _counts(knowledge: Knowledge) -> str:
    counted = sorted(trust_counts(knowledge).items(), key=lambda pair: -pair[1])
    return "Rows with a figure, by trust of their source: " + ", ".join(f"{n} {trust}" for trust, n in counted)


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> Lines:
    yield "| " + " | ".join(head) + " |"
    yield "|" + " --- |" * len(head)
    for row in rows:
        yield "| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |"
    yield ""


def _figure(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


def _for(applies: Applies) -> str:
    return "; ".join(", ".join(sorted(words)) for _, words in applies.parts) or "all"


def _list(items: Iterable[str]) -> str:
    return ", ".join(items) or "none"


def _weight(finding: Finding, link: Link) -> str:
    return f"{10 * log10(link.probability / finding.backgrounds[link.state]):+.1f} dB"


def _seen(knowledge: Knowledge, links: Iterable[Link]) -> Lines:
    ordered = sorted(links, key=lambda link: -link.probability)
    head = ("finding", "state", "how often", "background", "weight", "why", "source")
    yield "## What is found\n"
    yield from _table(head, (_seen_row(knowledge.findings[link.target], link) for link in ordered))


def _seen_row(finding: Finding, link: Link) -> tuple[str, ...]:
    level = _figure(finding.backgrounds[link.state])
    name = f"[{finding.wording(link.state)}](findings-{finding.group}.md) (`{finding.id}`)"
    return (name, link.state, _figure(link.probability), level, _weight(finding, link), link.rationale, link.source)


def _modes(knowledge: Knowledge) -> Lines:
    yield "# Failure modes\n"
    yield "`no-compressor-fault` is the outcome that none of them is active; it has no page of its own.\n"
    yield from _contents(f"mode-{key}" for key in knowledge.modes)


def _mode(knowledge: Knowledge, mode: Mode) -> Lines:
    yield f"# {mode.name}\n"
    yield f"{mode.text}\n"
    yield f"* Id: `{mode.id}`"
    yield f"* Role: {mode.role}. Machines: {_for(mode.applies)}. Leak: {_figure(mode.prior)}. {mode.rationale}"
    yield f"* In the field: {mode.field}"
    yield f"* Opened: {mode.teardown}"
    yield f"* Told apart: {mode.discriminators}"
    yield f"* To do: {mode.actions} Then: {mode.prevention}"
    yield f"* Description from `{mode.source}`, reviewed {mode.reviewed}\n"
    yield from _seen(knowledge, (link for link in knowledge.mode_finding if link.origin == mode.id))
    yield from _origins(knowledge, mode)


def _origins(knowledge: Knowledge, mode: Mode) -> Lines:
    """What brings the mode about: causes and earlier modes."""
    links = [link for link in (*knowledge.cause_mode, *knowledge.mode_mode) if link.target == mode.id]
    if links:
        yield "## What brings it about\n"
        ordered = sorted(links, key=lambda link: -link.probability)
        rows = ((_linked(knowledge, a.origin), _figure(a.probability), a.rationale, a.source) for a in ordered)
        yield from _table(("from", "how often", "why", "source"), rows)


def _causes(knowledge: Knowledge) -> Lines:
    yield "# Causes in the system\n"
    yield from _contents(f"cause-{key}" for key in knowledge.causes)


def _cause(knowledge: Knowledge, cause: Cause) -> Lines:
    yield f"# {cause.name}\n"
    yield f"* Id: `{cause.id}`"
    yield f"* Machines: {_for(cause.applies)}. Prior: {_figure(cause.prior)}. {cause.rationale} (`{cause.source}`)"
    yield f"* Confirm: {cause.confirm}"
    yield f"* Correct: {cause.correct}\n"
    yield from _leads(knowledge, [link for link in knowledge.cause_mode if link.origin == cause.id])
    yield from _seen(knowledge, (link for link in knowledge.cause_finding if link.origin == cause.id))


def _leads(knowledge: Knowledge, links: Sequence[Link]) -> Lines:
    if not links:
        yield "Brings about no failure mode; it is often mistaken for one.\n"
        return
    yield "## What it brings about\n"
    rows = (
        (_linked(knowledge, link.target), _figure(link.probability), link.rationale, link.source)
        for link in sorted(links, key=lambda link: -link.probability)
    )
    yield from _table(("brings about", "how often", "why", "source"), rows)


def _chains(knowledge: Knowledge) -> Lines:
    yield "# What began it, what ended it\n"
    rows = (
        (_linked(knowledge, a.origin), _linked(knowledge, a.target), _figure(a.probability), a.rationale, a.source)
        for a in knowledge.mode_mode
    )
    yield from _table(("first", "then", "how often", "why", "source"), rows)


def _findings(_knowledge: Knowledge) -> Lines:
    yield "# Findings\n"
    yield from _contents(f"findings-{group}" for group in GROUPS)


def _group(knowledge: Knowledge, group: str, title: str) -> Lines:
    yield f"# {title}\n"
    yield "Silence: P(mentioned when present / when absent) in a job note, on a form, on a teardown sheet.\n"
    head = ("finding", "normal", "background", "right", "silence", "machines", "check", "why")
    yield from _table(head, (_finding(f) for f in knowledge.findings.values() if f.group == group))


def _finding(finding: Finding) -> tuple[str, ...]:
    levels = finding.backgrounds.values()
    silence = "; ".join(f"{m.present:.2f}/{m.absent:.2f}" for m in finding.mention.values())
    return (
        "; ".join(finding.wording(state) for state in finding.signs) + f" (`{finding.id}`)",
        finding.opposite,
        " / ".join(_figure(level) for level in levels),
        f"{finding.reliability:.2f}",
        silence,
        _for(finding.applies),
        _check(finding.check),
        finding.rationale,
    )


def _check(check: CheckRow | None) -> str:
    if check is None:
        return "none"
    marks = [word for word, on in (("energised", check.energised), ("opens the circuit", check.opens_circuit)) if on]
    return f"{check.minutes:g} min, cost {check.cost:g}. {check.how} {' '.join(f'[{m}]' for m in marks)}".strip()


def _normals(knowledge: Knowledge) -> Lines:
    yield "# Reports of a normal state\n"
    rows = ((f"{n.text} (`{n.id}`)", _list(f"`{m}`" for m in n.means_absent)) for n in knowledge.normals.values())
    yield from _table(("report", "stands for the absence of"), rows)


def _contexts(knowledge: Knowledge) -> Lines:
    yield "# Contexts\n"
    yield "Known before any finding; multiplies the odds of a cause, of the leak of a mode, or of no fault.\n"
    yield from _table(("field", "value", "moves", "odds times", "why"), (_context(c) for c in knowledge.contexts))


def _context(context: Context) -> tuple[str, ...]:
    once = f" (not beside a report on `{context.same_as}`, which says the same)" if context.same_as else ""
    return (context.field, context.value, f"`{context.target}`", f"{context.odds_ratio:g}", context.rationale + once)


def _safety(knowledge: Knowledge) -> Lines:
    yield "# Safety rules\n"
    yield "They fire on any report in their list, or where findings speak for a mode, and nothing out-votes them.\n"
    for rule in knowledge.safety:
        when = _list(f"`{finding}`" for finding in (*rule.when.any_of, *rule.when.all_of))
        if rule.when.mode:
            asked = rule.when.mode
            when = f"findings speak for `{asked.mode}` by {asked.evidence:g} dB and it has reached {asked.at_least:g}"
        yield f"* **{rule.id}** when {when}: {rule.text} Forbids: {_list(rule.forbids)}. (`{rule.source}`)"
        yield from (f"  * {caution(key).text}" for key in rule.cautions)
    yield ""


def _conflicts(knowledge: Knowledge) -> Lines:
    yield "# Pairs that cannot both be right\n"
    rows = ((f"`{p.a}` {p.a_state}", f"`{p.b}` {p.b_state}", p.why, p.ask) for p in knowledge.conflicts)
    yield from _table(("one", "other", "why", "measure again"), rows)


def _dispatch(knowledge: Knowledge) -> Lines:
    yield "# What to send and what to do until then\n"
    head = ("for", "a running machine", "crew", "minutes", "tools", "parts", "now", "keep as evidence")
    rows = ((knowledge.name(a.target), *_advice(a)) for a in knowledge.advice.values() if a.target != NO_FAULT)
    none = ((NO_FAULT, *_advice(a)) for a in knowledge.advice.values() if a.target == NO_FAULT)
    yield from _table(head, (*rows, *none))


def _advice(row: Advice) -> tuple[str, ...]:
    words, steps = triage(), (*row.for_caller, *row.do_now)
    parts = [words.part[key].words for key in row.parts]
    return (
        row.run,
        _list((f"{row.persons}", *(words.skill[key] for key in row.skills))),
        f"{row.minutes}",
        _list(words.tool[key] for key in row.tools),
        "; ".join(filter(None, (_list(parts), row.parts_note))),
        "; ".join(step.text for step in steps),
        _list(row.keep_as_evidence),
    )


def _sources(knowledge: Knowledge) -> Lines:
    yield "# Sources\n"
    used = {row.source for row in (*knowledge.safety, *knowledge.advice.values())}
    for key in sorted(used.union(figure_sources(knowledge))):
        origin = source(key)
        note = f" ({origin.note})" if origin.note else ""
        yield f"* `{key}`, {origin.trust}: {origin.citation}{note}"


SECTIONS: dict[str, Callable[[Knowledge], Lines]] = {
    "modes": _modes,
    "causes": _causes,
    "chains": _chains,
    "findings": _findings,
    "normal-reports": _normals,
    "contexts": _contexts,
    "safety": _safety,
    "conflicts": _conflicts,
    "dispatch": _dispatch,
    "sources": _sources,
}
"""Name of a page -> what stands on it."""


if __name__ == "__main__":  # pragma: no cover
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else DEFAULT)
