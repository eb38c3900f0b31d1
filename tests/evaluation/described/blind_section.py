"""The part of the evaluation page on the cases written blind, made from the counts that are kept."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from tests.evaluation import texts
from tests.evaluation.described.blind import HIDDEN, LATER_SECOND, SECOND, agreement, rows, shared_findings
from tests.evaluation.described.blind import LATER as LATER_SET
from tests.evaluation.described.described import LAYERS, Layer, Row
from tests.evaluation.described.totals import FURTHER, LATER, Release, read
from tests.evaluation.vacuum.score import Share
from witnessmark.diagnosis.evaluation.rates import HEAD, SOUND_HEAD, FiveRates
from witnessmark.diagnosis.evaluation.tables import table

TITLE = "Sealed cases written blind"
LATER_TITLE = "Sealed published descriptions found later"
FURTHER_TITLE = "Sealed published descriptions found last"
ANSWER = "the answer"
PLACES = {"first": "first", "among_three": "among three"}
AIMS: tuple[tuple[Layer, str, float], ...] = (
    ("mode", "first", 0.85),
    ("mode", "among_three", 0.95),
    ("cause", "first", 0.70),
    ("cause", "among_three", 0.95),
)
AIMED = ("all", "published", "a real event", *map(HIDDEN.format, ("all", "published")))
QUIET = ("no-compressor-fault-likely", "not-enough-evidence")
"""Verdicts that say "nothing wrong" and "cannot tell"."""
REAL = {"published": "published, a real event", "all": "a real event"}
"""The group of real events, by the group that holds all published cases of a set."""
SOUND = ("nothing wrong", "a sound compressor, the fault elsewhere")


def text(releases: Sequence[Release] | None = None) -> str:
    """The section without its heading, of the newest scoring."""
    kept = read().releases if releases is None else releases
    if not kept:
        return texts.BLIND_UNSCORED
    last = kept[-1]
    parts = (
        texts.BLIND.format(
            day=f"{last.day.day} {last.day:%B %Y}", version=last.version, knowledge=last.knowledge, decides=last.decides
        ),
        *(
            f"{words}:\n\n{ranked(last, place)}"
            for place, words in (("first", "First"), ("among_three", "Among three"))
        ),
        f"{texts.BLIND_AIMS}\n{aims(last)}",
        f"{texts.BLIND_RATES}\n{five(last)}",
        f"{texts.BLIND_TOLD}\n{quiet(last)}\n\n{told(last)}",
        f"{texts.BLIND_SECOND}\n{second()}",
    )
    return "\n\n".join(part.rstrip() for part in parts)


def later(releases: Sequence[Release] | None = None) -> str:
    """The section on the published descriptions found later, without its heading, of the newest scoring."""
    kept = read(LATER).releases if releases is None else releases
    if not kept:
        return texts.LATER_UNSCORED
    return "\n\n".join((_published(kept[-1], texts.LATER), later_second().rstrip()))


def further(releases: Sequence[Release] | None = None) -> str:
    """The section on those found last, without its heading, and all the newly published ones together."""
    kept = read(FURTHER).releases if releases is None else releases
    if not kept:
        return texts.FURTHER_UNSCORED
    sets = (read().releases[-1], "published"), (read(LATER).releases[-1], "all"), (kept[-1], "all")
    return "\n\n".join((_published(kept[-1], texts.FURTHER), newly(sets)))


def _published(last: Release, introduction: str) -> str:
    parts = (
        introduction.format(
            cases=last.cases["all"], real=last.cases["a real event"], sure=last.cases["label sure"],
            day=f"{last.day.day} {last.day:%B %Y}",
            version=last.version, knowledge=last.knowledge, decides=last.decides,
        ),
        f"First:\n\n{ranked(last, 'first')}",
        f"Among three:\n\n{ranked(last, 'among_three')}",
        f"{texts.BLIND_AIMS}\n{aims(last)}",
        f"{texts.BLIND_RATES}\n{five(last)}",
        f"{texts.BLIND_TOLD}\n{quiet(last)}\n\n{told(last)}",
    )  # fmt: skip
    return "\n\n".join(part.rstrip() for part in parts)


def newly(sets: Sequence[tuple[Release, str]]) -> str:
    """Published cases of several scorings together, each by its group: how many, and who is right how often."""
    whole, real = sum(one.cases[group] for one, group in sets), sum(one.cases[REAL[group]] for one, group in sets)
    others = f"{whole - real} made up or general ones"
    told = texts.NEWLY.format(cases=whole, events=f"{real} real events", others=others)
    who = tuple(dict.fromkeys(one.who for one in sets[0][0].hits))
    found = [
        (layer, words, *(shown(pooled(sets, name, layer, place)) for name in who))
        for layer in LAYERS
        for place, words in PLACES.items()
    ]
    return f"{told}\n{table(('layer', 'place', *who), found)}"


def pooled(sets: Sequence[tuple[Release, str]], who: str, layer: Layer, place: str) -> Share:
    """One share of the cases of all sets."""
    shares = [one.hit(group, who, layer).share(place) for one, group in sets]
    return Share(sum(share.part for share in shares), sum(share.whole for share in shares))


def shown(share: Share) -> str:
    """`14 of 21 (0.43 to 0.85)`; nothing where nothing is asked."""
    if not share.whole:
        return "-"
    low, high = share.bounds
    return f"{share.part} of {share.whole} ({low:.2f} to {high:.2f})"


def ranked(release: Release, place: str) -> str:
    """Every group and layer, one column for each who answers."""
    who = tuple(dict.fromkeys(one.who for one in release.hits))
    groups = tuple(dict.fromkeys(one.group for one in release.hits))
    found = [
        (group, layer, *(shown(release.hit(group, name, layer).share(place)) for name in who))
        for group in groups
        for layer in LAYERS
    ]
    return table(("group", "layer", *who), found)


def aims(release: Release) -> str:
    """What is aimed at, what was measured, and whether the interval's lower end lies above who knows less."""
    who = tuple(dict.fromkeys(one.who for one in release.hits if one.who != ANSWER))
    head = ("group", "layer, place", "aim", "measured", "standing", *(f"lower end above {name}" for name in who))
    aimed = [group for group in AIMED if any(one.group == group for one in release.hits)]
    return table(head, (row for group in aimed for row in _aims(release, group, who)))


def _aims(release: Release, group: str, who: Sequence[str]) -> Iterator[tuple[str, ...]]:
    for layer, place, aim in AIMS:
        share = release.hit(group, ANSWER, layer).share(place)
        others = [release.hit(group, name, layer).share(place).value for name in who]
        yield (
            group,
            f"{layer} {PLACES[place]}",
            f"≥ {aim:.2f}",
            f"{share.value:.2f}",
            "reached" if share.value >= aim else "**missed**",
            *(f"{other:.2f}: {'yes' if share.bounds[0] > other else '**no**'}" for other in others),
        )


def five(release: Release) -> str:
    """The five rates of every group."""
    found = [(one.group, *FiveRates(Counter(one.faulty), Counter(one.sound)).cells()) for one in release.rates]
    return table(("group", *HEAD, *SOUND_HEAD), found)


def told(release: Release) -> str:
    """Verdicts by what the label says of the compressor."""
    counts = [(one.truth, one.verdict, f"{one.cases}", f"{one.stopped}") for one in release.told]
    return table(("label", "verdict", "cases", "of them told to stop"), counts)


def quiet(release: Release) -> str:
    """Compressors without a fault: how many heard "nothing wrong" or "cannot tell", and how many that and no stop."""
    head = ("label", 'told "nothing wrong" or "cannot tell"', "and not told to stop")
    return table(head, ((truth, *map(shown, left_in_peace(release, truth))) for truth in SOUND))


def left_in_peace(release: Release, truth: str) -> tuple[Share, Share]:
    """Of the cases of a truth, those with a quiet verdict, and those of them without a stop order."""
    own = [one for one in release.told if one.truth == truth]
    calm = [one for one in own if one.verdict in QUIET]
    number = sum(one.cases for one in own)
    said, stopped = sum(one.cases for one in calm), sum(one.stopped for one in calm)
    return Share(said, number), Share(said - stopped, number)


def second() -> str:
    """Whose first choice the other labeller accepts."""
    return _second(rows(), rows(*SECOND))


def later_second() -> str:
    """The same of the published descriptions found later, and how many findings both readers report."""
    first, other = rows(*LATER_SET), rows(*LATER_SECOND)
    both, one, two = shared_findings(first, other)
    told = texts.LATER_SECOND.format(cases=len(other), both=both, one=one, two=two)
    return f"{told}\n{_second(first, other)}"


def _second(first: Sequence[Row], other: Sequence[Row]) -> str:
    found = agreement(first, other)
    return table(
        ("layer", "first labeller's choice accepted by the second", "second's accepted by the first"),
        ((layer, *map(shown, shares)) for layer, shares in found.items()),
    )
