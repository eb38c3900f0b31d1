"""Danger to people, heard before all else and apart from the other wording, so that nothing there can outvote it.

A hazard counts where all slots of one of its rows stand within a few words of one another, in whatever order; commas
part nothing. What sounds alike and is harmless (`smoke detector`, `gas stove`) is taken out of play, unless words of
danger stand nearer to one another than those that make them harmless (`smell gas by the bread`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cache
from itertools import accumulate, pairwise, product

from witnessmark import data
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.danger_rows import PLIGHT, SUSPECT, Sign, grave, signs, undefined
from witnessmark.diagnosis.notes.mentions import Clause, Mention, Place, Sentence
from witnessmark.diagnosis.notes.names import names as proper_names
from witnessmark.diagnosis.notes.tokens import OF_ALARM

SCORE, FAINT = 0.9, 0.5
"""Of a hazard, and of what sounds like one: a candidate, which fires its rule all the same."""
Hidden = Mapping[int, Collection[tuple[frozenset[int], bool]]]
"""Tokens that something harmless explains, with the words that explain them, and whether they do so firmly."""
_TOUCHING = 2
"""Slots that must stand within so few words must touch: `fire alarm`, not `fire at the alarm`."""
_TURNING = frozenset({"but", "however", "although", "pero", "aunque", "mas", "porem"})
_BY_NOW = frozenset({"now", "ahora", "agora"})
"""The same behind a comma: `false alarm, it was the toaster, now smoke from the compressor`."""
_ARTICLES = frozenset({"the", "a", "an", "from"})
_NOUGHT, _PARTS = frozenset({"0", "zero", "cero"}), "ppm"
_TRIED = 6
"""Places of a slot that are tried: a clause that says `smoke` often tells no more than one that says it once."""


@data.checked
def check_danger() -> None:
    """Every hazard of the rows is a finding. Raises DataError."""
    if wrong := [*undefined(knowledge().findings)]:
        raise data.DataError(wrong)


def hazards(clause: Clause) -> list[Mention]:
    """The hazards that the clause names, each once a place, in the order of the note."""
    if "hazards" not in clause.sentence.memo:
        clause.sentence.memo["hazards"] = _hazards(clause)
    return [*clause.sentence.memo["hazards"]]


def _hazards(clause: Clause) -> list[Mention]:
    sentence = clause.sentence
    hidden = _harmless(sentence)
    heard: dict[tuple[str, int], Mention] = {}
    for sign in sorted(_possible(sentence), key=lambda sign: (sign.faint, not sign.plain)):
        if sign.finding not in ("", SUSPECT) and not sign.finding.startswith(PLIGHT):
            for tokens in _found(sentence, sign, hidden):
                one = _mention(clause, sign.finding, tokens, FAINT if sign.faint else SCORE, firm=sign.plain)
                if _listed(sentence, one, heard.setdefault((sign.finding, min(tokens)), one)):
                    heard[sign.finding, min(tokens)] = one
    apart = [one for one in heard.values() if not _across(sentence, one, heard.values())]
    return sorted(apart, key=lambda m: (m.start, m.finding, m.end))


def _listed(sentence: Sentence, narrow: Mention, wide: Mention) -> bool:
    """`no smoke, sparks or gas, the cooler is warm`: in a denied list the word is a danger by itself."""
    first, last = min(narrow.tokens), max(narrow.tokens)
    within = narrow.tokens < wide.tokens and any(k < first for k in sentence.positions("~negation"))
    return within and any(token.kind == "pause" for token in sentence.tokens[last + 1 : max(wide.tokens)])


def _across(sentence: Sentence, one: Mention, others: Collection[Mention]) -> bool:
    """`no burning smell, no smell of gas`: its words stand in two denials, and in the second the same is told whole."""
    first, last = min(one.tokens), max(one.tokens)
    denying = [*sentence.positions("~negation")]
    pause = max((k for k, token in enumerate(sentence.tokens[:first]) if token.kind == "pause"), default=-1)
    if not any(pause < k < first for k in denying):
        return False
    begins = [min(m.tokens) for m in others if m.finding == one.finding and m.tokens & one.tokens]
    return any(first < k < begin <= last for begin in begins for k in denying if k not in one.tokens)


def suspects(clause: Clause) -> list[Mention]:
    """Where the clause seems to tell of somebody in trouble, in words that name no hazard."""
    hidden = _harmless(clause.sentence)
    signs_of = (sign for sign in _possible(clause.sentence) if sign.finding == SUSPECT)
    return [_mention(clause, SUSPECT, tokens) for sign in signs_of for tokens in _found(clause.sentence, sign, hidden)]


def plights(clause: Clause) -> list[Mention]:
    """Where the clause tells of people in a plight that asks for words of its own; finding: its id."""
    hidden = _harmless(clause.sentence)
    signs_of = [sign for sign in _possible(clause.sentence) if sign.finding.startswith(PLIGHT)]
    return [
        _mention(clause, sign.finding.removeprefix(PLIGHT), tokens)
        for sign in signs_of
        for tokens in _found(clause.sentence, sign, hidden)
    ]


def alarm_words(sentence: Sentence, *names: str) -> list[tuple[str, Place]]:
    """Wordings of lists of alarm words that nothing harmless explains; how they are told is open.

    Spelt well, or with one slip in a word of alarm.
    """
    places = [(name, p) for name in names for p in sentence.places.get(name, ()) if p.quality >= OF_ALARM]
    hidden = _harmless(sentence) if places else {}
    words = [(name, p, frozenset(range(p.start, p.end))) for name, p in places]
    return [(name, p) for name, p, tokens in words if all(o <= tokens for k in tokens for o, _ in hidden.get(k, ()))]


def alarm_mentions(clause: Clause, *names: str) -> list[Mention]:
    """The same, as something of which a clause tells."""
    words = alarm_words(clause.sentence, *names)
    return [_mention(clause, name, frozenset(range(p.start, p.end))) for name, p in words]


def concept_mentions(clause: Clause, *names: str) -> list[Mention]:
    """Where the clause has words of these concepts, names of people and firms aside, explained or not."""
    sentence = clause.sentence
    of_names = {k for run in proper_names(sentence.tokens) for k in run if sentence.tokens[k].capital}
    words = [(name, frozenset(range(p.start, p.end))) for name in names for p in sentence.places.get(name, ())]
    return [_mention(clause, name, tokens) for name, tokens in words if of_names.isdisjoint(tokens)]


def harmless_words(sentence: Sentence) -> frozenset[int]:
    """The tokens that something harmless explains."""
    return frozenset(_harmless(sentence))


def sounds_grave(clause: Clause) -> bool:
    """Whether some word of the clause is grave, or sounds so to whoever wrote down what is harmless."""
    return any(name in clause.sentence.places for name in grave()) or bool(_harmless(clause.sentence))


def _mention(
    clause: Clause, finding: str, tokens: frozenset[int], score: float = SCORE, *, firm: bool = False
) -> Mention:
    of_clause = clause.sentence.tokens
    quality = min(of_clause[k].quality for k in tokens)
    start, end = of_clause[min(tokens)].start, of_clause[max(tokens)].end
    return Mention(finding, start, end, round(score * quality, 3), "present", tokens, hazard=True, firm=firm)


def _harmless(sentence: Sentence) -> Hidden:
    """For each token that something harmless explains the words that do so together."""
    if "harmless" not in sentence.memo:
        sentence.memo["harmless"] = _explaining(sentence)
    hidden: Hidden = sentence.memo["harmless"]
    return hidden


def _explaining(sentence: Sentence) -> Hidden:
    spans: dict[int, set[tuple[frozenset[int], bool]]] = {}
    for sign in _possible(sentence):
        for tokens in () if sign.finding else _found(sentence, sign, {}):
            idle = _ruled_out(sentence, tokens) or _turned(sentence, tokens) or _more_than_nought(sentence, tokens)
            for k in () if idle else tokens:
                spans.setdefault(k, set()).add((tokens, sign.firm))
    for tokens in proper_names(sentence.tokens):
        for k in (k for k in tokens if sentence.tokens[k].capital):
            spans.setdefault(k, set()).add((tokens, True))
    return spans


def _turned(sentence: Sentence, tokens: frozenset[int]) -> bool:
    """`they test the bells, but there is smoke`: what stands before such a word explains nothing behind it."""
    between = [k for k in range(min(tokens) + 1, max(tokens)) if k not in tokens]
    return any(sentence.tokens[k].stem in _TURNING or _by_now(sentence, k) for k in between)


def _by_now(sentence: Sentence, k: int) -> bool:
    return sentence.tokens[k].stem in _BY_NOW and sentence.tokens[k - 1].kind == "pause"


def _more_than_nought(sentence: Sentence, tokens: frozenset[int]) -> bool:
    """`it went from 0 ppm to 450 ppm`: a detector at nought explains nothing beside parts of gas that it found."""
    return any(sentence.tokens[k].stem in _NOUGHT for k in tokens) and _gas_found(sentence)


def _gas_found(sentence: Sentence) -> bool:
    """Whether a number of parts of gas above nought stands in it."""
    if "gas found" not in sentence.memo:
        pairs = pairwise(token.stem for token in sentence.tokens)
        found = (number for number, unit in pairs if unit == _PARTS and number[:1].isdigit())
        sentence.memo["gas found"] = any(number not in _NOUGHT for number in found)
    return bool(sentence.memo["gas found"])


def _ruled_out(sentence: Sentence, tokens: frozenset[int]) -> bool:
    """`smells rotten, it is not the drain`: a thing that would be harmless is said not to be it."""
    return any(_not_the(sentence, k) for k in tokens if not tokens.intersection(range(k - 2, k)))


def _not_the(sentence: Sentence, k: int) -> bool:
    stems = [token.stem for token in sentence.tokens[max(k - 3, 0) : k]]
    return bool(stems) and stems[-1] in _ARTICLES and "not" in stems[-3:-1]


@cache
def _by_first() -> dict[str, tuple[Sign, ...]]:
    """The signs by the names of their first slot."""
    groups: dict[str, list[Sign]] = {}
    for sign in signs():
        for name in sign.slots[0][0]:
            groups.setdefault(name, []).append(sign)
    return {name: tuple(group) for name, group in groups.items()}


def _possible(sentence: Sentence) -> list[Sign]:
    """The signs whose slots all stand in the sentence."""
    if "signs" not in sentence.memo:
        sentence.memo["signs"] = [sign for sign in _begun(sentence) if _all_there(sentence, sign)]
    found: list[Sign] = sentence.memo["signs"]
    return found


def _all_there(sentence: Sentence, sign: Sign) -> bool:
    return all(not sentence.places.keys().isdisjoint(names) for names, _ in sign.slots[1:])


def _begun(sentence: Sentence) -> list[Sign]:
    """The signs whose first slot stands in the sentence."""
    return [*dict.fromkeys(sign for name in sentence.places for sign in _by_first().get(name, ()))]


def _found(sentence: Sentence, sign: Sign, hidden: Hidden) -> Iterator[frozenset[int]]:
    """The tokens of every way in which the slots stand near enough to one another, nearer than what is harmless."""
    slots: list[Sequence[Place]] = []
    for names, _ in sign.slots:
        places = [p for name in names for p in sentence.places.get(name, ())]
        if len(sign.slots) == 1:
            places = [p for p in places if not _within(p, hidden)]
        slots.append(sorted(places, key=lambda p: (p.start, -p.end))[: _TRIED if len(sign.slots) > 1 else None])
    weight = [0, *accumulate(k not in sentence.idle for k in range(len(sentence.tokens)))]
    for chosen in product(*slots):
        tokens = frozenset(k for p in chosen for k in range(p.start, p.end))
        apart = sign.alone and _more_said(sentence, tokens)
        if not apart and _stands(chosen, sign, weight) and not _explained(tokens, hidden):
            yield tokens


def _more_said(sentence: Sentence, tokens: frozenset[int]) -> bool:
    """Whether a word that means something, or a number, stands beside these."""
    rest = (k for k, token in enumerate(sentence.tokens) if token.kind not in {"pause", "stop", "sign"})
    return any(k not in tokens and k not in sentence.idle for k in rest)


def _explained(tokens: frozenset[int], hidden: Hidden) -> bool:
    """Whether something harmless explains one of them that is not wholly within them, and firm or not wider."""
    explaining = {other for k in tokens for other in hidden.get(k, ())}
    return any(not other < tokens and (firm or _span(other) <= _span(tokens)) for other, firm in explaining)


def _span(tokens: frozenset[int]) -> int:
    return max(tokens) - min(tokens)


def _within(place: Place, hidden: Hidden) -> bool:
    return any(k in hidden for k in range(place.start, place.end))


def _stands(chosen: Sequence[Place], sign: Sign, weight: Sequence[int]) -> bool:
    start, end = min(p.start for p in chosen), max(p.end for p in chosen)
    words = sum(p.end - p.start for p in chosen)
    close = end - start == words if sign.within <= _TOUCHING else False
    near = close or (sign.within > _TOUCHING and weight[end] - weight[start] <= sign.within + words - len(chosen))
    apart = all(a.end <= b.start or b.end <= a.start for k, a in enumerate(chosen) for b in chosen[k + 1 :])
    after = all(chosen[k].start >= chosen[k - 1].end for k, (_, follows) in enumerate(sign.slots) if follows)
    return near and apart and after
