"""Whether what is named was so once: put right, ceased, swapped out, only said by somebody and then found in order."""

from __future__ import annotations

from collections.abc import Sequence

from witnessmark.diagnosis.notes.assertions.scope import NONE, Cue, Scope, only_idle
from witnessmark.diagnosis.notes.mentions import Mention
from witnessmark.diagnosis.notes.tokens import Token

_OWNERS = frozenset({"your", "our", "somebody", "someon", "last", "another"})
_PAST = ("ed", "lt", "do", "da", "on")
"""Endings of English and Spanish forms that say that something was done."""
_COMES_BACK = frozenset({"phase-missing", "storm-or-outage", "power-blinked", "supply-voltage"})
"""What comes back by itself: a supply."""
_CEASED = frozenset({"stop", "stopped", "quit", "ceas", "dejo"})
_HAS = frozenset({"has", "have", "had"})
_SINCE = frozenset({"after", "sinc", "when", "onc", "now"})
_EVER_SINCE, _NEAR = frozenset({"sinc", "since", "desd", "desde"}), 4
"""Words of a beginning, and how many may stand from there to the verb of repair."""
_WISHES = frozenset({"want", "need", "wish", "ask", "pleas", "must", "should", "can", "could", "will", "would", "may"})
"""Before a verb of repair: `he wants it fixed`, `it should be repaired`, and nobody has."""
_ASKS = frozenset({"what", "que"})
_MEANS = frozenset({"mean", "significa", "significant"})
"""As they come out of the tokeniser, which takes the Spanish word for an English one."""
_GOES_ON = frozenset({"is", "does", "do", "are", "did", "it", "ther"})
_IT, _ANSWER = frozenset({"it", "they", "that", "this"}), 3
"""`it is not`: how a sentence begins that denies what another has said, and its words."""


def over(scope: Scope, mention: Mention) -> bool:
    """Whether words of repair or of an end say so, and not a mere word of time."""
    return not mention.hazard and bool(put_right(scope, mention))


def goes_on_now(scope: Scope, mention: Mention) -> bool:
    """`was knocking yesterday and still is`: words behind say of nothing else that it goes on."""
    tokens, last = scope.sentence.tokens, max(mention.tokens)
    for cue in scope.of("present-time"):
        behind = cue.end < len(tokens) and tokens[cue.end].stem in _GOES_ON
        if cue.start > last and tokens[cue.start].stem == "stil" and behind:
            return not scope.named(range(last + 1, len(tokens)))
    return False


def taught(scope: Scope, mention: Mention) -> frozenset[int]:
    """`training note: black oil`, `according to the manual ...`, `what does black oil mean`: nobody has seen any.

    Danger to people is heard all the same.
    """
    ahead = [c.tokens for c in scope.of("lecture") if c.end <= max(mention.tokens) and not c.tokens & mention.tokens]
    return NONE if mention.hazard else NONE.union(*ahead) | _asked_meaning(scope, mention)


def _asked_meaning(scope: Scope, mention: Mention) -> frozenset[int]:
    tokens = scope.sentence.tokens
    asks = [k for k, t in enumerate(tokens) if t.stem in _ASKS and k < min(mention.tokens)]
    means = [k for k, t in enumerate(tokens) if t.stem in _MEANS and k > asks[0]] if asks else []
    return frozenset({asks[0], means[0]}) if means else NONE


def _ceased(scope: Scope, mention: Mention) -> frozenset[int]:
    """`stopped knocking after ...`, `knocking has stopped`: a verb beside the word; not `stopped seized`, no danger."""
    tokens, words = scope.sentence.tokens, scope.weighing(mention)
    first, last = min(words), max(words)
    if mention.hazard or not _is_verb(scope, first):
        return NONE
    k = first - 1
    while k > 0 and k in scope.sentence.idle:
        k -= 1
    behind = last + 1 + (last + 1 < len(tokens) and tokens[last + 1].stem in _HAS)
    if k >= 0 and _is_end(scope, mention, k) and not _not_before(scope, k):
        return frozenset({k})
    alone = (
        behind + 1 >= len(tokens) or tokens[behind + 1].kind in {"pause", "stop"} or tokens[behind + 1].stem in _SINCE
    )
    return frozenset({behind}) if behind < len(tokens) and alone and _is_end(scope, mention, behind) else NONE


def _is_verb(scope: Scope, k: int) -> bool:
    token = scope.sentence.tokens[k]
    return scope.clause.text[token.start : token.end].lower().endswith(("ing", "ar", "er"))


def _is_end(scope: Scope, mention: Mention, k: int) -> bool:
    """A verb of ending that is no part of the mention and of no denial (`will not stop`)."""
    hidden = any(k in cue.tokens for cue in scope.of("pseudo-negation", "negation"))
    return scope.sentence.tokens[k].stem in _CEASED and k not in mention.tokens and not hidden


def _not_before(scope: Scope, k: int) -> bool:
    """`has not stopped knocking`."""
    return any(cue.end <= k and only_idle(scope, cue.end, k) for cue in scope.of("negation"))


def _swapped_out(scope: Scope, mention: Mention) -> frozenset[int]:
    """`changed welded contactor and tested`: the thing with its fault went out, and what was put in is in order."""
    first, last = min(mention.tokens), max(mention.tokens)
    for cue in scope.of("replaced"):
        before = cue.end <= first and only_idle(scope, cue.end, first) and not _denied(scope, cue)
        well = (
            [c for c in scope.of("well-now", "well-found") if c.start > last and not _denied(scope, c)]
            if before
            else []
        )
        if well and not mention.hazard:
            return cue.tokens | well[0].tokens
    return NONE


def _now(scope: Scope, mention: Mention) -> bool:
    """A word of the present stands in a part of the mention."""
    return any(scope.part(cue) & mention.tokens for cue in scope.of("present-time"))


def put_right(scope: Scope, mention: Mention) -> frozenset[int]:
    """`leak repaired`; `bearing noisy, replaced, ok now`; a recent time needs such words too."""
    last = max(mention.tokens)
    for cue in scope.of("resolved"):
        if cue.tokens & mention.tokens or _denied(scope, cue) or not _done(scope, cue) or _wished(scope, cue):
            continue
        if mention.hazard and _began(scope, cue):
            continue
        part = scope.part(cue)
        alone = cue.start > last and not scope.named(part) and _opens(scope, cue)
        if part & mention.tokens or alone:
            return cue.tokens
    if ended := _ceased(scope, mention) | _swapped_out(scope, mention):
        return ended
    if gainsaid := _gainsaid(scope, mention):
        return gainsaid
    back = [c.tokens for c in scope.of("returned") if c.start > last] if mention.finding in _COMES_BACK else []
    if back and not _now(scope, mention):
        return NONE.union(*back)
    return _well_since(scope, mention)


def _wished(scope: Scope, cue: Cue) -> bool:
    """`wants it fixed`: what somebody asks for is not done."""
    before = [k for k in scope.part(cue) if cue.start - _NEAR <= k < cue.start]
    return any(scope.sentence.tokens[k].stem in _WISHES for k in before)


def _began(scope: Scope, cue: Cue) -> bool:
    """`headaches since they fixed it`, `desde que lo arreglaron`: danger that the repair brought is there."""
    return any(t.stem in _EVER_SINCE for t in scope.sentence.tokens[max(cue.start - _NEAR, 0) : cue.start])


def _well_since(scope: Scope, mention: Mention) -> frozenset[int]:
    """`bearing noisy, replaced, ok now`; `claimed it was locked, found it running fine` of what is no danger."""
    aside = ("replaced", "recent") if mention.hazard else ("replaced", "recent", "hearsay")
    if not any(not cue.tokens & mention.tokens for cue in scope.of(*aside)):
        return NONE
    for cue in scope.of("well-now") if mention.hazard else scope.of("well-now", "well-found"):
        own = scope.part(cue) & mention.tokens
        if cue.start > max(mention.tokens) and not own and not _denied(scope, cue) and not _now(scope, mention):
            return cue.tokens
    return NONE


def _gainsaid(scope: Scope, mention: Mention) -> frozenset[int]:
    """`the owner says it is low on gas. It is not.`; never of danger, which two witnesses leave open."""
    said = [cue.tokens for cue in scope.of("hearsay") if cue.start < min(mention.tokens)]
    if mention.hazard or not said or scope.following is None:
        return NONE
    answer = [token.stem for token in scope.following.tokens if token.kind == "word"][:_ANSWER]
    plain = len(answer) == _ANSWER and answer[0] in _IT and answer[-1] == "not"
    return NONE.union(*said) if plain and _ends_there(scope.following.tokens) else NONE


def _ends_there(tokens: Sequence[Token]) -> bool:
    """Nothing but a pause stands behind the first denial: `it is not, ten kelvin`, not `it is not cold`."""
    behind = next(k for k, token in enumerate(tokens) if token.stem == "not") + 1
    return behind == len(tokens) or tokens[behind].kind != "word"


def _done(scope: Scope, cue: Cue) -> bool:
    """A past form: `repaired`, not `repair`, which have one stem."""
    first, last = scope.sentence.tokens[cue.start], scope.sentence.tokens[cue.end - 1]
    return cue.end - cue.start > 1 or scope.clause.text[first.start : last.end].lower().endswith(_PAST)


def _opens(scope: Scope, cue: Cue) -> bool:
    """At most one word that means something stands before the cue in its part: `your colleague sorted that`."""
    before = [scope.sentence.tokens[k] for k in scope.part(cue) if k < cue.start and k not in scope.sentence.idle]
    return sum(token.kind == "word" and token.stem not in _OWNERS for token in before) <= 1


def _denied(scope: Scope, cue: Cue) -> bool:
    return any(c.end <= cue.start and only_idle(scope, c.end, cue.start) for c in scope.of("negation"))
