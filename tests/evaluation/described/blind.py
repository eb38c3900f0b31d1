"""Cases that were written and labelled blind and then sealed: how often the service names the same.

147 cases by a writer who had the public wording of findings, modes and causes and nothing of the knowledge: 110
constructed, 37 from published descriptions (SOURCES.md); 61 published ones by another writer, found later; and 17 by a
third, found last. Nobody reads them; a release is scored once, and what is kept of it are counts (totals.json,
published-totals.json, further-totals.json). An empty `mode` says that the compressor is sound, an empty `cause` beside
it that nothing is wrong at all.
"""

from __future__ import annotations

import hashlib
import json
import lzma
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache

from tests.evaluation.calls.calls import dispatched, in_our_units
from tests.evaluation.described.described import HERE, LAYERS, TAKEN, Layer, Row, answered
from tests.evaluation.described.totals import Hits, Rates, Told
from tests.evaluation.vacuum.score import Share
from witnessmark.api.context import RequestContext
from witnessmark.api.routes.diagnosis import case_of
from witnessmark.api.schemas.diagnosis import DiagnosisRequest
from witnessmark.diagnosis.answer.inquiry import inquire
from witnessmark.diagnosis.case import RANKING_ONLY
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.evaluation import experiments
from witnessmark.diagnosis.evaluation.rates import FiveRates, Rate, rate

SEALED = "sealed-blind", "SEALED-BLIND"
SECOND = "sealed-blind-second", "SEALED-BLIND-SECOND"
LATER = "sealed-published", "SEALED-PUBLISHED"
"""Published descriptions found in a further search."""
LATER_SECOND = "sealed-published-second", "SEALED-PUBLISHED-SECOND"
"""A second reader's labels of some of them."""
FURTHER = "sealed-published-further", "SEALED-PUBLISHED-FURTHER"
"""Published descriptions found in a third search."""
NOT_ONE_EVENT = "(teaching case", "(a described condition"
"""What the citation of a published case says where it tells no single real event."""
DENIED = "absent", "normal", "unknown"
KNOWN_BEFORE = ("machine", "refrigerant", "circumstances")
GROUPS: Mapping[str, Callable[[Row], bool]] = {
    "all": lambda _: True,
    "constructed": lambda row: row["kind"] == "constructed",
    "published": lambda row: row["kind"] == "published",
    "published, a real event": lambda row: row["kind"] == "published" and not taught(row),
    "all, label sure": lambda row: bool(row["sure"]),
    "published, label sure": lambda row: row["kind"] == "published" and bool(row["sure"]),
    "all, label not sure": lambda row: not row["sure"],
}
LATER_GROUPS: Mapping[str, Callable[[Row], bool]] = {
    "all": lambda _: True,
    "a real event": lambda row: not taught(row),
    "label sure": lambda row: bool(row["sure"]),
    "two findings or more": lambda row: len(row["input"]["findings"]) >= SEVERAL,
}
TOLD_APART = ("all", "constructed", "published")
"""Groups that are counted a second time without the cases that give the answer away."""
HIDDEN = "{}, no finding is the answer"
FEW = 3
SEVERAL = 2
Ranking = Callable[[Row, Layer], Sequence[str]]


@cache
def rows(name: str = SEALED[0], seal: str = SEALED[1]) -> tuple[Row, ...]:
    """The rows of a sealed file, checked against their hash. Raises ValueError where it differs."""
    raw = lzma.decompress((HERE / f"{name}.jsonl.xz").read_bytes())
    if hashlib.sha256(raw).hexdigest() != (HERE / f"{seal}.sha256").read_text(encoding="ascii").strip():
        raise ValueError("the sealed cases are not those that were sealed")
    return tuple(in_our_units(json.loads(line)) for line in raw.decode().splitlines())


def taught(row: Row) -> bool:
    """Whether a published case is made up to teach, or describes a condition and no event."""
    return any(words in row["source"] for words in NOT_ONE_EVENT)


def given_away(row: Row, layer: Layer) -> bool:
    """Whether a reported finding is by definition one of the modes (causes) that the label names."""
    reported = {one["finding"] for one in row["input"]["findings"] if one["state"] not in DENIED}
    return any((key, finding) in _defining() for key in row[layer] for finding in reported)


@cache
def _defining() -> frozenset[tuple[str, str]]:
    links = (*knowledge().mode_finding, *knowledge().cause_finding)
    return frozenset((link.origin, link.target) for link in links if link.defines)


def truth(row: Row) -> str:
    """What the label says of the compressor."""
    if row["mode"]:
        return "a compressor fault"
    return "a sound compressor, the fault elsewhere" if row["cause"] else "nothing wrong"


def service(row: Row, layer: Layer) -> Sequence[str]:
    """The ranking of the service."""
    return [one["id"] for one in answered(row)[f"{layer}s"]]


def machine_alone(row: Row, layer: Layer) -> Sequence[str]:
    """The priors of this machine in its circumstances, nothing found and nothing read."""
    return service({"input": {key: row["input"][key] for key in KNOWN_BEFORE if key in row["input"]}}, layer)


def asked(row: Row) -> str:
    """The request of a case."""
    return json.dumps({key: row["input"][key] for key in TAKEN if row["input"].get(key) is not None})


def naive(row: Row, layer: Layer) -> Sequence[str]:
    """Plain naive Bayes on the same figures and evidence."""
    return _naive(asked(row))[layer]


@cache
def _naive(request: str) -> Mapping[Layer, Sequence[str]]:
    body = DiagnosisRequest.model_validate_json(request)
    case, _ = case_of(RequestContext.of(body), body)
    inquiry = inquire(knowledge(), replace(case, want=RANKING_ONLY))
    chances, nodes, split = experiments.naive(inquiry), inquiry.net.nodes, inquiry.net.causes
    order = sorted(range(len(nodes)), key=lambda node: -chances[node])
    return {
        "mode": [nodes[node] for node in order if node >= split],
        "cause": [nodes[node] for node in order if node < split],
    }


def commonest(chosen: Sequence[Row]) -> Ranking:
    """Knows how often each is named in these very cases, and nothing else."""
    mix = {layer: Counter(key for row in chosen for key in row[layer]) for layer in LAYERS}
    order = {layer: [key for key, _ in counted.most_common()] for layer, counted in mix.items()}
    return lambda _row, layer: order[layer]


def rankings(chosen: Sequence[Row]) -> dict[str, Ranking]:
    """Who answers, by name: the service and those who know less."""
    return {
        "the answer": service,
        "the machine alone": machine_alone,
        "always the commonest of the group": commonest(chosen),
        "naive Bayes": naive,
    }


def hits(chosen: Sequence[Row], group: str, *, hidden: bool = False) -> Iterator[Hits]:
    """How often one of the named ones stands first and among three, of the cases whose label names one.

    hidden: only of those where no finding is the answer by definition.
    """
    named = {
        layer: [row for row in chosen if row[layer] and not (hidden and given_away(row, layer))] for layer in LAYERS
    }
    of = HIDDEN.format(group) if hidden else group
    for layer, asked_of in named.items():
        for who, ranking in rankings(asked_of).items():
            first, three = (
                sum(bool({*row[layer]} & {*ranking(row, layer)[:few]}) for row in asked_of) for few in (1, FEW)
            )
            yield Hits(group=of, who=who, layer=layer, asked=len(asked_of), first=first, among_three=three)


def told(chosen: Sequence[Row]) -> Iterator[Told]:
    """Verdicts, and how many of each were told to stop, by what the label says of the compressor."""
    found: dict[tuple[str, str], list[bool]] = {}
    for row in chosen:
        key = truth(row), str(answered(row)["verdict"]["state"])
        found.setdefault(key, []).append(dispatched(row["input"])["operation"]["advice"] == "stop")
    for (what, state), stopped in sorted(found.items()):
        yield Told(truth=what, verdict=state, cases=len(stopped), stopped=sum(stopped))


def five_rate(row: Row) -> Rate:
    """Of the verdict on the compressor: it names a mode where it is settled or names candidates."""
    verdict = answered(row)["verdict"]
    named = verdict["state"] in ("diagnosed", "leading-candidates") and bool(verdict["leading"])
    return rate(
        fault=bool(row["mode"]),
        named=named,
        right=named and verdict["leading"][0] in row["mode"],
        cleared=verdict["state"] == "no-compressor-fault-likely",
    )


def rates(chosen: Sequence[Row], group: str) -> Rates:
    """The five rates of a group."""
    found = FiveRates.of((bool(row["mode"]), five_rate(row)) for row in chosen)
    return Rates(group=group, faulty=dict(found.faulty), sound=dict(found.sound))


def agreement(first: Sequence[Row], second: Sequence[Row]) -> dict[Layer, tuple[Share, Share]]:
    """Of the cases both labelled: whose first choice the other accepts too; the first's choice, then the second's.

    Who names nothing is agreed with by who names nothing.
    """
    by_id = {row["id"]: row for row in first}
    pairs = [(by_id[row["id"]], row) for row in second]
    return {layer: (_accepted(pairs, layer), _accepted([(b, a) for a, b in pairs], layer)) for layer in LAYERS}


def shared_findings(first: Sequence[Row], second: Sequence[Row]) -> tuple[int, int, int]:
    """Of the cases both encoded: findings that both report, that the first reports, that the second does."""
    by_id = {row["id"]: row["input"] for row in first}
    pairs = [(_reported(by_id[row["id"]]), _reported(row)) for row in second]
    return sum(len(a & b) for a, b in pairs), sum(len(a) for a, _ in pairs), sum(len(b) for _, b in pairs)


def _reported(told: Row) -> set[str]:
    return {one["finding"] for one in told["findings"] if one["state"] not in DENIED}


def _accepted(pairs: Sequence[tuple[Row, Row]], layer: Layer) -> Share:
    accepted = [one[layer][0] in other[layer] if one[layer] else not other[layer] for one, other in pairs]
    return Share(sum(accepted), len(accepted))
