"""Denial: which of the findings named in a clause its denials deny.

A denial in front is spent on the first thing named behind it, finding or not (`won't start`, `no smell`), and on what
`or`, `nor` or a list joins to that. One that is part of a finding's own words (`not cooling`) denies nothing else. A
denial behind (`ruled out`, `: none`) takes what stands right before it. A denied verb denied again is none.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from typing import Literal

from witnessmark.diagnosis.notes.assertions.scope import NONE, Cue, Scope, meaning, only_idle
from witnessmark.diagnosis.notes.mentions import Mention

REACH = 8
"""Words that a denial reaches over at most, words without meaning not counted."""
_FEW = 3
_ANDS = frozenset({"and", "plu", "y"})
"""What begins another statement: `not cooling and smells burnt`, `no enfria y huele a quemado`."""
_ORS = frozenset({"or", "nor", "ni", "nem", "ou"})
_VERBS = frozenset({"run", "start", "restart"})
"""Verbs that mean nothing by themselves or name parts too (`start capacitor`, `run winding`)."""
_THE = frozenset({"the", "a", "an", "my", "our"})
_PREPOSITIONS = frozenset(
    {"of", "in", "on", "at", "from", "to", "with", "for", "by", "into", "as", "or", "and", "de", "en", "del", "con"}
)
_COPULAS = frozenset({"is", "was", "were", "are", "had", "has"})
_PRONOUNS = frozenset({"it", "they", "that", "there"})
_NAMES = frozenset({"smel", "smell", "odor", "odour", "nois", "sound", "test", "trip", "sign"})
"""Nouns that end what a denial takes as a whole: `no burnt oil smell`."""
_GUARDS = frozenset(
    {
        "mask",
        "masks",
        "respirator",
        "glov",
        "glove",
        "goggl",
        "ppe",
        "breath",
        "scba",
        "protection",
        "mascarilla",
        "mascara",
    }
)
"""What people wear against gas."""
Target = Literal["denied", "open", "spent"]
"""Whether a denial takes a mention, may take it, or is spent before."""


def denials(scope: Scope, mention: Mention) -> frozenset[int]:
    """The words that deny the mention; none where two of them cancel or it is not denied."""
    return _in_front(scope, "denied").get(mention, NONE) | _behind(scope, mention) | _inside(scope, mention)


def _inside(scope: Scope, mention: Mention) -> frozenset[int]:
    """`smelled no gas`: a denial between the words of a danger, right before one of them; not `NH3, without a mask`."""
    if not mention.hazard:
        return NONE
    first, tokens = min(mention.tokens), scope.sentence.tokens
    apart = (c for c in scope.of("negation") if first < c.start and not c.tokens & mention.tokens)
    within = (c for c in apart if c.end < len(tokens) and not _protects(scope, c.end))
    behind = ((c, [k for k in mention.tokens if k >= c.end]) for c in within)
    return NONE.union(*(c.tokens for c, later in behind if later and only_idle(scope, c.end, min(later))))


def _protects(scope: Scope, k: int) -> bool:
    """`without a mask`, `no breathing gear`: what guards against the danger is denied, the danger is not."""
    tokens = scope.sentence.tokens
    while k + 1 < len(tokens) and k in scope.sentence.idle:
        k += 1
    return tokens[k].stem in _GUARDS


def perhaps(scope: Scope, mention: Mention) -> frozenset[int]:
    """Denials in front that may as well be spent on a word between: `never blinked breaker trips`."""
    return _in_front(scope, "open").get(mention, NONE)


@lru_cache(maxsize=2)
def _in_front(scope: Scope, target: Target) -> dict[Mention, frozenset[int]]:
    """The mentions that denials in front of them deny, or may deny, with the tokens of those."""
    found: dict[Mention, frozenset[int]] = {}
    for cue in (*scope.of("negation"), *_ruling_out(scope)):
        if not cue.tokens & scope.owned and not _cancelled(scope, cue):
            named = [mention for mention in _targets(scope, cue) if _reaches(scope, cue, mention) == target]
            found |= {mention: found.get(mention, NONE) | cue.tokens for mention in named}
    return found


def _ruling_out(scope: Scope) -> Iterator[Cue]:
    """`ruled out bad valves`, where nothing that may be meant stands before it."""
    for cue in scope.of("backward-negation"):
        before = any(min(m.tokens) < cue.start and m.tokens & scope.part(cue) for m in scope.mentions)
        if scope.sentence.tokens[cue.start].stem == "rul" and not before and _first_behind(scope, cue):
            yield cue


def _cancelled(scope: Scope, cue: Cue) -> bool:
    """A denied verb that is denied again: `never been a time it didn't knock`; not `did not see no leak`."""
    tokens = scope.sentence.tokens
    if tokens[cue.start].stem not in {"not", "without"}:
        return False
    part, without = scope.part(cue), tokens[cue.start].stem == "without"
    earlier = [c for c in scope.of("negation") if c.end <= cue.start and c.start in part]
    before = [c for c in earlier if without or not c.tokens & scope.owned]
    if not before or tokens[before[-1].start].stem not in {"not", "never"}:
        return False
    between = frozenset(range(before[-1].end, cue.start))
    if without:  # `it doesn't run without knocking`: whatever it does, it knocks
        return len(between) <= REACH
    spent = any(other.tokens <= between for other in scope.of("own-target"))
    return not spent and len(between) <= REACH and not any(scope.weighing(m) & between for m in scope.mentions)


def _targets(scope: Scope, cue: Cue) -> list[Mention]:
    """What a denial denies: the first thing named behind it, and what a list or `or` joins to that."""
    reach = _reach(scope, cue)
    named = [(min(inside), m) for m in scope.mentions if (inside := scope.weighing(m) & reach)]
    denied: list[Mention] = []
    limit = 0
    for first, mention in sorted(named, key=lambda pair: (pair[0], pair[1].finding)):
        shared = any(mention.tokens & other.tokens for other in denied)
        if denied and first >= limit and not joined(scope, limit, first) and not shared:
            break
        denied.append(mention)
        limit = max(limit, max(scope.weighing(mention) & reach) + 1)
    return denied


def _reach(scope: Scope, cue: Cue) -> frozenset[int]:
    """Tokens behind a denial up to a pause, a word that ends it, `and`, the next denial or too many words."""
    sentence, ends = scope.sentence, {c.start for c in scope.of("termination", "negation", "present-time")}
    through_and = sentence.tokens[cue.start].stem in {"neither", "nor"}
    left, reached = REACH, []
    for k in range(cue.end, len(sentence.tokens)):
        token = sentence.tokens[k]
        ands = token.stem in _ANDS and not through_and
        if (k in ends and token.stem not in {"nor", "or"}) or ands or (token.kind == "pause" and not goes_on(scope, k)):
            break
        left -= k not in sentence.idle
        if left < 0:
            break
        reached.append(k)
    return frozenset(reached)


def goes_on(scope: Scope, pause: int) -> bool:
    """A comma inside a list that ends in `or`: `no knock, rattle or whine`; or that is followed by `or`, `nor`."""
    tokens = scope.sentence.tokens
    for k in range(pause + 1, min(pause + 5, len(tokens))):
        if tokens[k].stem in {"or", "nor", "ni"}:
            return True
        if tokens[k].kind == "pause" or tokens[k].stem in {"and", "but"}:
            break
    return _lists_dangers(scope, pause)


def _lists_dangers(scope: Scope, pause: int) -> bool:
    """`no fire, smoke, sparks or smell of gas`: between the commas stand dangers alone, and `or` before the last."""
    tokens, named = scope.sentence.tokens, NONE.union(*(m.tokens for m in scope.mentions if m.hazard))
    for k in range(pause + 1, len(tokens)):
        if tokens[k].stem in _ORS:
            return True
        if k not in named and tokens[k].kind != "pause":
            return False
    return False


def _reaches(scope: Scope, cue: Cue, mention: Mention) -> Target:
    """Whether the denial has its target in plain words before the mention: `no smell`, `not the valve`."""
    if mention.hazard and cue.end < len(scope.sentence.tokens) and _protects(scope, cue.end):
        return "spent"
    begins = min(k for k in mention.tokens if k >= cue.end)
    between = range(cue.end, begins)
    if spent := _on_a_verb(scope, cue, begins) or _on_its_beginning(scope, cue, mention, begins):
        return spent
    stems = [scope.sentence.tokens[k].stem for k in between]
    if any(a in _PRONOUNS and b in _COPULAS for a, b in pairwise(stems)):
        return "open"  # `oil isn't clear it's black`
    linked = {k for c in scope.of("link") for k in c.tokens} & set(between)
    if linked or _only_dangers(scope, mention, between) or only_idle(scope, cue.end, begins):
        return "denied"
    denied = NONE.union(*(m.tokens for m in scope.mentions if cue.end <= min(m.tokens) and max(m.tokens) < begins))
    plain = [c for c in scope.of("own-target") if cue.end <= c.start and c.end <= begins and not c.tokens & denied]
    topic = any(k in scope.sentence.topics and k not in scope.sentence.idle for k in between)
    if topic or meaning(scope, cue.end, begins) > _FEW or any(meaning(scope, cue.end, c.start) <= 1 for c in plain):
        return "spent"
    modified = {k for c in scope.of("modifier") for k in c.tokens} | scope.sentence.idle | scope.joints
    return "denied" if (modified | denied).issuperset(between) else "open"


def _only_dangers(scope: Scope, mention: Mention, between: range) -> bool:
    """`no fire, smoke, sparks or ...`: between the denial and a danger stand commas and other dangers alone."""
    named = NONE.union(*(m.tokens for m in scope.mentions if m.hazard)) if mention.hazard else NONE
    return bool(named) and all(k in named or scope.sentence.tokens[k].kind == "pause" for k in between)


def _on_a_verb(scope: Scope, cue: Cue, begins: int) -> Target | None:
    """`won't run windings open`, `can't get it to start capacitor bulged`: the verb is denied, no part of its name."""
    tokens = scope.sentence.tokens
    verbs = [k for k in range(cue.end, begins + 1) if tokens[k].stem in _VERBS and only_idle(scope, cue.end, k)]
    if not verbs or tokens[verbs[0] - 1].stem not in {"not", "to", "never"}:
        return None
    verb = tokens[verbs[0]]
    if verb.end - verb.start == len(verb.stem):
        return "spent"
    near = verbs[0] + 1
    return "open" if near in scope.sentence.topics or (near < len(tokens) and near in scope.sentence.idle) else None


def _on_its_beginning(scope: Scope, cue: Cue, mention: Mention, begins: int) -> Target | None:
    """`no smell the oil is burnt`, `not blowing cold crankcase heater dead`: it may deny no more than the first word.

    So too where the words go on behind a word that ends its reach (`no smell but the oil is burnt`), and where it
    denies a thing by name (`not the contactor contacts welded`).
    """
    tokens, weighing = scope.sentence.tokens, scope.weighing(mention)
    if mention.hazard and tokens[cue.end - 1].stem == "without" and min(mention.tokens) < cue.start:
        return "open"  # `NH3, without a mask`
    ends = {c.start for c in scope.of("termination")} | {k for k, t in enumerate(tokens) if t.stem in _ANDS}
    if any(begins < k < max(weighing) and k not in mention.tokens for k in ends):
        return "open"
    if max(mention.tokens) == begins:
        return None
    whole = _names_thing(scope, cue, begins) or _part_of_verb(scope, cue, begins) or _told_that(scope, cue, mention)
    return "open" if whole or _goes_on(scope, mention, begins) else None


def _names_thing(scope: Scope, cue: Cue, begins: int) -> bool:
    """`not the contactor contacts welded`, `not a leak compressor valves bad`, `not pumping hums`."""
    last, behind = scope.sentence.tokens[cue.end - 1].stem, scope.sentence.tokens[cue.end].stem
    named = begins in scope.sentence.topics and last == "not" and (behind in _THE or _inflected(scope, cue.end))
    return named or last in {"a", "an"}


def _part_of_verb(scope: Scope, cue: Cue, begins: int) -> bool:
    """`not blowing cold crankcase heater`: the first word belongs to the verb."""
    verbs = (c for c in scope.of("own-target") if c.end - c.start > 1 and only_idle(scope, cue.end, c.start))
    return any(c.start < begins < c.end for c in verbs)


def _goes_on(scope: Scope, mention: Mention, begins: int) -> bool:
    """`no smell the oil is burnt`: a thing and its state stand behind the first word; not `no burnt oil smell`."""
    tokens, following = scope.sentence.tokens, begins + 1
    while following in scope.sentence.idle and tokens[following].stem not in _PREPOSITIONS:
        following += 1
    plain = any(c.start == begins and c.end <= following for c in scope.of("own-target"))
    state = following in scope.sentence.topics & mention.tokens and max(scope.weighing(mention)) > following
    return plain and state and tokens[max(mention.tokens)].stem not in _NAMES


def _inflected(scope: Scope, k: int) -> bool:
    """`pumping`, a verb, where `pump` is a thing."""
    token = scope.sentence.tokens[k]
    return scope.clause.text[token.start : token.end].lower().endswith("ing")


def _told_that(scope: Scope, cue: Cue, mention: Mention) -> bool:
    """`nobody noticed the oil was burnt`: what a whole clause says of is there, seen or not."""
    tokens = scope.sentence.tokens
    first, last = min(mention.tokens), max(mention.tokens)
    says = any(tokens[k].stem in _COPULAS for k in range(first, last))
    return says and any(c.start >= cue.end and c.end <= first for c in scope.of("perception"))


def joined(scope: Scope, end: int, start: int) -> bool:
    """Between two things stand only `or`, `nor`, a comma of a list, and at most a few words."""
    between = scope.sentence.tokens[end:start]
    links = [t for t in between if t.stem in {"or", "nor", "ni", "/"} or t.kind == "pause"]
    return bool(links) and len(between) <= 1 + _FEW


def _behind(scope: Scope, mention: Mention) -> frozenset[int]:
    """`restriction ruled out`, `frost: none`, `acid test - negative`: denials that stand behind the mention."""
    tokens = scope.sentence.tokens
    last = max(mention.tokens) + 1
    for cue in scope.of("backward-negation", "closing-negation", "negation"):
        if cue.start < last:
            continue
        near = not cue.tokens & scope.owned and (_near(scope, last, cue.start) or _rules_out_part(scope, last, cue))
        if not near or (cue.kind == "negation" and tokens[cue.start].stem not in {"no", "not", "none"}):
            continue
        at_end = cue.end == len(tokens) or tokens[cue.end].kind in {"pause", "stop"} or _ends(scope, cue.end)
        if at_end if cue.kind != "backward-negation" else not _first_behind(scope, cue):
            return cue.tokens
    return NONE


def _rules_out_part(scope: Scope, last: int, cue: Cue) -> bool:
    """`grounded winding ruled out`: between the fault and what rules it out stands the part that would have it."""
    rules_out = scope.sentence.tokens[cue.start].stem == "rul" and scope.parts[last - 1] == scope.parts[cue.start]
    return rules_out and last + 1 == cue.start and last in scope.sentence.topics


def _near(scope: Scope, end: int, start: int) -> bool:
    """Only words without meaning, marks, `all`, `and` and other findings that are listed stand between."""
    return (
        all(
            k in scope.sentence.idle
            or k in scope.owned
            or t.kind in {"pause", "sign"}
            or t.stem in {"and", "or", "al", "both"}
            for k, t in enumerate(scope.sentence.tokens[end:start], end)
        )
        and scope.parts[start] - scope.parts[end - 1] <= 1
        and all(
            scope.parts[end - 1] == scope.parts[k] or scope.sentence.tokens[k].kind == "pause"
            for k in range(end, start)
        )
    )


def _first_behind(scope: Scope, cue: Cue) -> bool:
    """Something is named right behind the cue: `ruled out ammonia`."""
    return any(only_idle(scope, cue.end, min(m.tokens)) for m in scope.mentions if min(m.tokens) >= cue.end)


def _ends(scope: Scope, k: int) -> bool:
    return any(cue.start == k for cue in scope.of("termination"))
