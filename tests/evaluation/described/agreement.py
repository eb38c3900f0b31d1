"""Described cases apart by origin and kind: every share with its denominator and interval, beside what knows nothing.

The interval says what another set of such cases might give; it says nothing of cases of another kind.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.evaluation.estimates import Estimate, mean, share
from witnessmark.diagnosis.evaluation.tables import table
from witnessmark.diagnosis.review.case_set import Described, Outcome, run

ORIGINS = ("published", "constructed")
KINDS = ("clean", "causes", "two-causes", "no-fault", "not-enough", "out-of-scope")
KIND_WORDS = {
    "clean": "one mode, plain",
    "causes": "a cause, whatever the mode",
    "two-causes": "two causes at once",
    "no-fault": "a sound compressor",
    "not-enough": "too little told",
    "out-of-scope": "outside the knowledge or contradictory",
}
FEW = 3
YARDSTICK = """\
Written cases in medicine, with which the figures above may be compared in kind and never in number (other cases, other
writers): 234 physicians named the right disease first in 72.1 % and among three in 84.3 % of 45 written cases, 23
programs for laymen in 34 % (31 to 37 %) and 51.2 % of the same ones (Semigran and others, BMJ 2015;351:h3480, and JAMA
Internal Medicine 2016, doi 10.1001/jamainternmed.2016.6001). Our constructed cases were written by the hands that wrote
the knowledge; no technician has answered any of these cases, and no second reader labelled them, but for a part of
those in the section below."""


def answered(described: Sequence[Described], knowledge: Knowledge) -> tuple[Outcome, ...]:
    """The answers to all of them."""
    return run(described, partial(diagnose, knowledge=knowledge))


def unseen(described: Sequence[Described], knowledge: Knowledge) -> tuple[Outcome, ...]:
    """The answers of one who sees the machine and no finding."""
    return answered([replace(one, case=replace(one.case, findings=(), reported_by=())) for one in described], knowledge)


def first(outcomes: Sequence[Outcome], layer: str, places: int = 1) -> Estimate:
    """How often an expected one stands among the first, of the cases that expect one in this layer."""
    asked = [o for o in outcomes if getattr(o.described, layer)]
    return share(sum(o.place(getattr(o.described, layer), layer) <= places for o in asked), len(asked))


def commonest(outcomes: Sequence[Outcome], layer: str) -> Estimate:
    """How often one is right who knows the mix of this very group and names the one expected most often."""
    asked = [getattr(o.described, layer) for o in outcomes if getattr(o.described, layer)]
    counted = Counter(key for keys in asked for key in keys)
    return share(max(counted.values(), default=0), len(asked))


def brier(outcomes: Sequence[Outcome]) -> Estimate:
    """Of the leading mode's probability, over the cases that expect a mode."""
    named = [o for o in outcomes if o.described.modes]
    errors = [(o.answer.modes[0].probability - (o.top in o.described.modes)) ** 2 for o in named]
    return mean(np.array(errors, float))


def abstained(outcomes: Sequence[Outcome]) -> Estimate:
    """Cases that expect a mode and did not end in the verdict "diagnosed"."""
    named = [o for o in outcomes if o.described.modes]
    return share(sum(o.answer.verdict.state != "diagnosed" for o in named), len(named))


def right_when_diagnosed(outcomes: Sequence[Outcome]) -> Estimate:
    """Of those that did, the ones whose leading mode was expected."""
    settled = [o for o in outcomes if o.described.modes and o.answer.verdict.state == "diagnosed"]
    return share(sum(o.top in o.described.modes for o in settled), len(settled))


def restrained(outcomes: Sequence[Outcome]) -> Estimate:
    """Of the cases that must not be diagnosed, those that were not and that end in a verdict they may end in."""
    asked = [o for o in outcomes if o.described.kind == "out-of-scope" or o.described.verdicts]
    return share(sum(o.restrained for o in asked), len(asked))


def counted(found: Estimate) -> str:
    """`37 of 40 (0.80 to 0.97)`; nothing where nothing is asked."""
    if not found.sample:
        return "-"
    return f"{round(found.value * found.sample)} of {found.sample} ({found.low:.2f} to {found.high:.2f})"


Column = tuple[str, Callable[[Sequence[Outcome]], str]]
COLUMNS: tuple[Column, ...] = (
    ("cases", lambda o: f"{len(o)}"),
    ("mode first", lambda o: counted(first(o, "modes"))),
    ("mode among three", lambda o: counted(first(o, "modes", FEW))),
    ("cause first", lambda o: counted(first(o, "causes"))),
    ("cause among three", lambda o: counted(first(o, "causes", FEW))),
    ("not diagnosed that must not be", lambda o: counted(restrained(o))),
)
SURENESS: tuple[Column, ...] = (
    ("Brier", lambda o: brier(o).text(".3f")),
    ("abstained", lambda o: counted(abstained(o))),
    ("right when diagnosed", lambda o: counted(right_when_diagnosed(o))),
)


def by_kind(outcomes: Sequence[Outcome]) -> str:
    """A row for each origin, and for each kind within it."""
    head = ("origin", "kind", *(name for name, _ in COLUMNS))
    rows = []
    for origin in ORIGINS:
        of_origin = [o for o in outcomes if o.described.origin == origin]
        groups = {"all": of_origin} | {KIND_WORDS[k]: [o for o in of_origin if o.described.kind == k] for k in KINDS}
        rows += [(origin, name, *(cell(group) for _, cell in COLUMNS)) for name, group in groups.items() if group]
    return table(head, rows)


def by_who(outcomes: Sequence[Outcome], nothing: Sequence[Outcome]) -> str:
    """The answer beside one who sees the machine alone and one who knows the mix of the set."""
    rows: list[tuple[str, ...]] = []
    for origin in [origin for origin in ORIGINS if any(o.described.origin == origin for o in outcomes)]:
        own, blind = ([o for o in some if o.described.origin == origin] for some in (outcomes, nothing))
        cells = [counted(first(own, "modes")), counted(first(own, "causes")), *(cell(own) for _, cell in SURENESS)]
        rows.append((origin, "the answer", *cells))
        rows.append(
            (origin, "the machine alone", counted(first(blind, "modes")), counted(first(blind, "causes")), *_NONE)
        )
        mix = counted(commonest(own, "modes")), counted(commonest(own, "causes"))
        rows.append((origin, "always the commonest of the set", *mix, *_NONE))
    return table(("origin", "who", "mode first", "cause first", *(name for name, _ in SURENESS)), rows)


_NONE = ("-",) * len(SURENESS)


def failures(outcomes: Sequence[Outcome]) -> str:
    """Every case in which something expected did not come out, by name."""
    head = ("origin", "case", "expected", "named first", "chance", "verdict")
    return table(head, (row for o in outcomes for row in _failure(o)))


def _failure(outcome: Outcome) -> Iterator[tuple[str, ...]]:
    described, answer = outcome.described, outcome.answer
    for layer in ("modes", "causes"):
        wanted, named = getattr(described, layer), getattr(answer, layer)[0]
        if wanted and named.id not in wanted:
            yield _cells(outcome, " or ".join(wanted), named.id, f"{named.probability:.2f}")
    must_not = described.kind == "out-of-scope" or bool(described.verdicts)
    if must_not and not outcome.restrained:
        lead = answer.modes[0]
        yield _cells(outcome, " or ".join(described.verdicts) or "not diagnosed", lead.id, f"{lead.probability:.2f}")


def _cells(outcome: Outcome, expected: str, named: str, chance: str) -> tuple[str, ...]:
    described = outcome.described
    return described.origin, described.id, expected, named, chance, outcome.answer.verdict.state
