"""The figures of the knowledge that can be learned, taken out of its rows and put back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from witnessmark.diagnosis.catalogue.rows import Cause, Finding, Knowledge, Link, Mode
from witnessmark.diagnosis.inference.network import accumulators, trigger

LINKS = ("cause_mode", "mode_mode", "cause_finding", "mode_finding")
Key = tuple[str, ...]
"""("prior", id), ("background", finding, side) or (kind of link, number of the row)."""
MARGIN = 1e-4
N = TypeVar("N", Mode, Cause)


@dataclass(frozen=True)
class FigureSet:
    """P(accumulator or node raised) by what raises it on its own: leaks and triggers."""

    values: Mapping[Key, float]

    def __getitem__(self, key: Key) -> float:
        return self.values[key]


def defined(knowledge: Knowledge) -> frozenset[str]:
    """Findings that are a mode or cause seen, weighed or measured: what they say is a matter of words, not learned."""
    return frozenset(link.target for link in (*knowledge.mode_finding, *knowledge.cause_finding) if link.defines)


def taken(knowledge: Knowledge) -> FigureSet:
    """Every figure of the rows, as leak or trigger."""
    values: dict[Key, float] = {("prior", key): mode.prior for key, mode in knowledge.modes.items()}
    values |= {("prior", key): cause.prior for key, cause in knowledge.causes.items()}
    for key, finding in knowledge.findings.items():
        low, high = _leaks(finding)
        values["background", key, "low"] = low
        if high:
            values["background", key, "high"] = high
    for kind in LINKS:
        for number, link in enumerate(getattr(knowledge, kind)):
            values[kind, str(number)] = _strength(knowledge, kind, link)
    return FigureSet(values)


def _leaks(finding: Finding) -> tuple[float, float]:
    levels = finding.backgrounds
    return (levels["present"], 0.0) if "present" in levels else accumulators(levels["low"], levels["high"])


def _strength(knowledge: Knowledge, kind: str, link: Link) -> float:
    if not kind.endswith("finding"):
        return link.probability
    return max(trigger(knowledge.findings[link.target], link))


def put(knowledge: Knowledge, figures: FigureSet, changed: frozenset[Key]) -> Knowledge:
    """The knowledge with these figures changed, every other as it stands (save links above a changed background)."""
    findings = {key: _finding(row, figures, changed) for key, row in knowledge.findings.items()}
    modes = {key: _rated(mode, figures, changed) for key, mode in knowledge.modes.items()}
    causes = {key: _rated(cause, figures, changed) for key, cause in knowledge.causes.items()}
    links = {}
    for kind in LINKS:
        rows = enumerate(getattr(knowledge, kind))
        both = [(findings.get(link.target), knowledge.findings.get(link.target)) for link in getattr(knowledge, kind)]
        links[kind] = tuple(_link((kind, str(k)), link, both[k], figures, changed) for k, link in rows)
    return replace(
        knowledge,
        findings=findings,
        modes=modes,
        causes=causes,
        cause_mode=links["cause_mode"],
        mode_mode=links["mode_mode"],
        cause_finding=links["cause_finding"],
        mode_finding=links["mode_finding"],
    )


def _rated(row: N, figures: FigureSet, changed: frozenset[Key]) -> N:
    key = ("prior", row.id)
    return row.model_copy(update={"prior": figures[key]}) if key in changed else row


def _finding(row: Finding, figures: FigureSet, changed: frozenset[Key]) -> Finding:
    sides = [("background", row.id, name) for name in ("low", "high")]
    if not changed.intersection(sides):
        return row
    low = figures[sides[0]]
    if row.kind == "yes-no":
        return row.model_copy(
            update={"background": max(low, *row.measured.values(), *row.against_baseline.values(), 0)}
        )
    high = figures[sides[1]]
    states = {"low": low * (1 - high / 2), "high": high * (1 - low / 2)}
    finer = (row.measured, row.against_baseline)
    least = {name: max([value, *(levels[name] for levels in finer if levels)]) for name, value in states.items()}
    return row.model_copy(update={"background_low": least["low"], "background_high": least["high"]})


def _link(
    key: Key, link: Link, finding: tuple[Finding | None, Finding | None], figures: FigureSet, changed: frozenset[Key]
) -> Link:
    after, before = finding
    if key not in changed and after is before:
        return link
    strength = figures[key]
    if after is None:
        return link.model_copy(update={"probability": strength})
    low, high = _leaks(after)
    own, other = (high, low) if link.state == "high" else (low, high)
    whole = (1 - (1 - own) * (1 - strength)) * (1 - other / 2)
    others = sum(level for state, level in after.backgrounds.items() if state != link.state)
    most = 1 - others - 10 * MARGIN
    return link.model_copy(update={"probability": min(max(whole, after.backgrounds[link.state] + MARGIN), most)})
