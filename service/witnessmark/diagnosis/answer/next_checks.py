"""What to look at next: what a technician would do first of what is worth doing.

Safety, the machine, what is known already and what can be reached filter before anything is ranked (`permitted`); what
is left goes by expected information a minute (`outlook`), weighed with the usual order of a procedure: questions, eyes
and ears, meters with the power locked out, a running machine, gauges, what is used up, recovery, the opened compressor.
Contradictions are measured again before anything else. Where the verdict or the cause is settled, only what confirms it
and what the repair needs is left.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from witnessmark.diagnosis.answer.inquiry import Inquiry, hangs_on_one
from witnessmark.diagnosis.answer.outlook import (
    Outlook,
    effort_of,
    entropy,
    followed,
    foreseen,
    roughly_foreseen,
)
from witnessmark.diagnosis.answer.permitted import Allowed, actions, can_be_had, cools_water, name_of, sorted_out
from witnessmark.diagnosis.answer.safety import dangers_of
from witnessmark.diagnosis.answer.settled import found_cause, needed, worth_asking
from witnessmark.diagnosis.answer.situation import doubted
from witnessmark.diagnosis.answer.wording import follows
from witnessmark.diagnosis.catalogue.check_book import Action, check_book, step_of
from witnessmark.diagnosis.catalogue.rows import CheckRow, Finding
from witnessmark.diagnosis.inference.noisy_or import Floats
from witnessmark.diagnosis.phrases import lower
from witnessmark.diagnosis.result import Check, CheckOutcome, Contradiction, NextChecks, SafetyNotice, forbidden

_ENERGISED = ("live-measurement",)
_PEOPLE = 2
"""Questions about people before anything else."""
_AGAIN = "Two reports cannot both be right: measure again first."
_DOUBTED = "A reading proves nothing as it was taken: measure again first."
_OPENING = ("refrigerant-release", "trapped-pressure")
Decision = tuple[tuple[str, int], tuple[str, int]]


def next_checks(
    inquiry: Inquiry,
    fired: Sequence[SafetyNotice],
    clashes: Sequence[Contradiction] = (),
    also: frozenset[str] = frozenset(),
) -> NextChecks:
    """The best checks, best first, and whether any of them could change the decision.

    also: what is forbidden beside what the fired rules forbid (`permitted.HAS_TO_STOP`).
    """
    forbids = forbidden(fired) | also
    allowed, withheld = sorted_out(inquiry, forbids)
    here = _decision(inquiry, inquiry.known.probability[0], inquiry.none)
    again = [_again(inquiry, place, check) for place, check in _to_repeat(inquiry, forbids, clashes)]
    called_for, cause = actions(inquiry, forbids), found_cause(inquiry)
    left = [*called_for, *_of_a_settled(inquiry, here, allowed)]
    if cause:
        wanted = worth_asking(inquiry, cause)
        left = [(finding, check) for finding, check in left if name_of(finding, check) in wanted]
    first = doubted(inquiry.case) if again else _open_first(inquiry)
    outlooks = ranked(inquiry, left, first)
    proving = needed(cause)
    telling = [o for o in outlooks if _telling(inquiry, o, here) or (o.name in proving and _parts(inquiry, o))]
    telling = _first_of(telling, outlooks, first)
    people = tuple(_asked_first(inquiry, f, f.check) for f in _in_danger(inquiry) if f.check)
    best = [*again, *telling][: inquiry.decisions.next_checks.most - len(people)]
    if not (best or people):
        nothing = _nothing_left(inquiry, cause, some=bool(allowed or called_for))
        return NextChecks((), stop=True, reason=nothing, withheld=withheld)
    reason = f"{len(telling)} of {len(left)} possible checks could change the decision."
    if again or (telling and telling[0].name in doubted(inquiry.case)):
        reason = _AGAIN if again else _DOUBTED
    if people:
        reason = "A danger to people was told: ask after them first."
    checks = (*people, *(_check(inquiry, o) for o in best))
    return NextChecks(checks, stop=False, reason=reason, withheld=withheld)


def _open_first(inquiry: Inquiry) -> frozenset[str]:
    """What is looked at first: readings in doubt, and what settles a pair that cannot be measured again."""
    pairs = (pair.look for pair in inquiry.knowledge.conflicts if pair.fits(inquiry.evidence.states))
    return doubted(inquiry.case).union(*pairs)


def _first_of(telling: list[Outlook], outlooks: list[Outlook], keys: frozenset[str]) -> list[Outlook]:
    """The checks of these findings, whatever they tell, and then the others."""
    first = [outlook for outlook in outlooks if outlook.name in keys]
    return [*first, *(outlook for outlook in telling if outlook.name not in keys)]


def _nothing_left(inquiry: Inquiry, cause: str, *, some: bool) -> str:
    """Why nothing is asked. some: whether there was anything that may be done now."""
    if cause:
        return f"The cause is found; no further check is needed before the repair: {_repair(inquiry, cause)}"
    return "No check on the list would change the decision." if some else "No check is left that may be done now."


def _repair(inquiry: Inquiry, cause: str) -> str:
    return lower(inquiry.knowledge.causes[cause].correct)


def _in_danger(inquiry: Inquiry) -> list[Finding]:
    """What to ask before all else where a danger was told: the first two that nobody has said anything of."""
    told = inquiry.situation.told
    rows = [row for row in check_book().danger if any(told.get(key) == "present" for key in row.told)]
    asked = dict.fromkeys(key for row in rows for key in row.ask if key not in told)
    return [finding for key in asked if (finding := inquiry.knowledge.findings.get(key))][:_PEOPLE]


def _asked_first(inquiry: Inquiry, finding: Finding, check: CheckRow) -> Check:
    """A question about people. It bears on no mode or cause, so nothing is foreseen of it."""
    outlook = Outlook(finding, check, (), np.zeros(0), np.zeros((0, len(inquiry.net.nodes))), 0.0, 0.0, 0.0)
    return _check(inquiry, outlook)


def ranked(inquiry: Inquiry, allowed: Allowed, first: frozenset[str] = frozenset()) -> list[Outlook]:
    """Outlooks of the most promising of the allowed checks, best first; those of `first` among them in any case."""
    if not allowed:
        return []
    rough = roughly_foreseen(inquiry, allowed)
    kept = inquiry.decisions.next_checks.refined
    promising = [*rough[:kept], *(outlook for outlook in rough[kept:] if outlook.name in first)]
    return foreseen(inquiry, inquiry.refining, [(outlook.finding, outlook.check) for outlook in promising])


def _of_a_settled(inquiry: Inquiry, here: Decision, allowed: Allowed) -> Allowed:
    """All checks; where the mode is settled, those that the repair needs, and while the cause is open what tells it.

    At an opened compressor the usual next look too: what lies there is not seen again.
    """
    (mode, firmness), (_, cause) = here
    if firmness < _FIRM or hangs_on_one(inquiry):
        return allowed
    repair = {key for need in check_book().need if mode in need.modes for key in need.checks}
    telling = () if cause else _telling_causes(inquiry)
    wanted = {*repair, *telling, *(inquiry.situation.follows if inquiry.situation.opened else ())}
    return [(finding, check) for finding, check in allowed if finding.id in wanted]


_FIRM = 2


def _telling_causes(inquiry: Inquiry) -> frozenset[str]:
    """Findings that some cause raises."""
    return frozenset(link.target for link in inquiry.knowledge.cause_finding)


def _to_repeat(
    inquiry: Inquiry, forbids: frozenset[str], clashes: Sequence[Contradiction]
) -> Iterator[tuple[int, CheckRow]]:
    """Pieces of evidence that contradict one another and may be measured again, the quickest of each pair first."""
    places = {p.finding: k for k, p in enumerate(inquiry.evidence.items)}
    done: set[int] = set()
    for clash in clashes:
        pair = []
        for key in dict.fromkeys(clash.findings):
            check = inquiry.knowledge.findings[key].check if key in places else None
            if check and can_be_had(inquiry, check, forbids) and places[key] not in done:
                pair.append((effort_of(inquiry, check), places[key], check))
        for _, place, check in sorted(pair, key=lambda piece: piece[:2]):
            done.add(place)
            yield place, check


def _again(inquiry: Inquiry, place: int, check: CheckRow) -> Outlook:
    """The same measured again: as it was, or the other way round."""
    finding = inquiry.knowledge.findings[inquiry.evidence.items[place].finding]
    chance = float(inquiry.given_rest[place])
    after = np.stack([inquiry.compared.probability[0], inquiry.flipped[place]])
    both = np.array([chance, 1 - chance])
    bits = max(float((entropy(inquiry.without.probability[place]) - both @ entropy(after)).sum()), 0.0)
    value = bits / effort_of(inquiry, check)
    again = check.model_copy(update={"kind": "again"})
    return Outlook(finding, again, ("the same again", "now the other way"), both, after, bits, value, value)


def _decision(inquiry: Inquiry, probability: Floats, none: float) -> Decision:
    """Which mode and which cause lead, and how firmly: what a technician would act on."""
    if none >= inquiry.decisions.verdict.no_fault:
        return ("", 0), ("", 0)
    split = inquiry.net.causes
    return _leader(inquiry, probability[split:], split), _leader(inquiry, probability[:split], 0)


def _leader(inquiry: Inquiry, probability: Floats, first: int) -> tuple[str, int]:
    """The most probable of a layer, named only from the level of a leading candidate on."""
    figures = inquiry.decisions.verdict
    best = int(probability.argmax())
    firmness = sum(probability[best] >= level for level in (figures.leading, figures.diagnosed))
    return (inquiry.net.nodes[first + best], int(firmness)) if firmness else ("", 0)


def _telling(inquiry: Inquiry, outlook: Outlook, here: Decision) -> bool:
    """Whether the check could change the decision or, while mode or cause is still open, brings it nearer.

    A leading mode that hangs on one finding is open too, however probable: it cannot be called diagnosed. What ends
    visibly alike either way is not worth making.
    """
    if _visible(inquiry, outlook) < inquiry.decisions.next_checks.least_apart:
        return False  # the usual next look as well: an answer that changes nothing is no check
    undecided = any(not name for name, _ in here) or hangs_on_one(inquiry)
    if undecided and outlook.bits >= inquiry.decisions.next_checks.least_bits:
        return True
    if isinstance(outlook.check, Action) or followed(inquiry, outlook.finding, outlook.check):
        return True
    matters = inquiry.decisions.next_checks.matters
    return any(
        chance >= matters and _decision(inquiry, after, inquiry.none) != here
        for chance, after in zip(outlook.chance, outlook.after, strict=True)
    )


def _visible(inquiry: Inquiry, outlook: Outlook) -> float:
    """How far the outcomes lie apart in the probability of what is shown beside them."""
    shown = outlook.after[:, _told_of(inquiry, outlook)]
    return float(shown.max() - shown.min())


def _parts(inquiry: Inquiry, outlook: Outlook) -> bool:
    """Whether its outcomes lie apart in anything."""
    return bool(np.ptp(outlook.after, axis=0).max() >= inquiry.decisions.next_checks.least_apart)


def _told_of(inquiry: Inquiry, outlook: Outlook) -> int:
    """The node that the outcomes are told by: of those that lead after one of them, the one that moves most."""
    split = inquiry.net.causes
    leaders = {
        side.start + int(row[side].argmax()) for row in outlook.after for side in (slice(0, split), slice(split, None))
    }
    if isinstance(outlook.check, Action):
        leaders = {inquiry.net.nodes.index(outlook.check.tells)}
    spread = np.ptp(outlook.after, axis=0)
    return max(sorted(leaders), key=lambda node: spread[node])


def _shown_beside(inquiry: Inquiry, outlook: Outlook) -> int:
    """The node that is shown: what it is told by, or what moves most where that moves too little to be seen."""
    node, spread = _told_of(inquiry, outlook), np.ptp(outlook.after, axis=0)
    return node if spread[node] >= inquiry.decisions.next_checks.least_apart else int(spread.argmax())


def _check(inquiry: Inquiry, outlook: Outlook) -> Check:
    finding, check = outlook.finding, outlook.check
    cautions = (
        *check.hazards,
        *(_ENERGISED if check.energised or "compressor-runs" in check.needs else ()),
        *(_OPENING if check.opens_circuit or "circuit-open" in check.needs else ()),
        *(() if step_of(finding, check) == "ask" else dangers_of(inquiry.case.fluid)),
    )
    return Check(
        finding=finding.id,
        action=name_of(finding, check) if isinstance(check, Action) else "",
        kind=check.kind,
        step=step_of(finding, check),
        how=_how(inquiry, outlook),
        minutes=float(check.minutes),
        cost=float(check.cost),
        tools=check.tools,
        needs=check.needs,
        cautions=tuple(dict.fromkeys(cautions)),
        energised=check.energised,
        opens_circuit=check.opens_circuit,
        bits=round(outlook.bits, 4),
        value=round(outlook.order, 5),
        outcomes=_outcomes(inquiry, outlook),
        text=_text(inquiry, outlook),
    )


def _text(inquiry: Inquiry, outlook: Outlook) -> str:
    if isinstance(outlook.check, Action):
        return f"{outlook.check.text}."
    if outlook.check.kind == "again":
        return f"Measure again: {lower(outlook.finding.text)}. {outlook.check.how}"
    return f"{outlook.finding.text}? {_how(inquiry, outlook)}"


def _how(inquiry: Inquiry, outlook: Outlook) -> str:
    """How to look: at the water, where there is water instead of air on that side."""
    water = inquiry.case.condenser == "water-cooled" if outlook.finding.id == _CONDENSER else cools_water(inquiry.case)
    return outlook.check.on_water if outlook.check.on_water and water else outlook.check.how


_CONDENSER = "condenser-fouled"


def _outcomes(inquiry: Inquiry, outlook: Outlook) -> tuple[CheckOutcome, ...]:
    """What may be seen, and what that makes of what it tells of; nothing of a question about people."""
    if not outlook.states:
        return ()
    node = _shown_beside(inquiry, outlook)
    key, now = inquiry.net.nodes[node], float(inquiry.compared.probability[0, node])
    outcomes = []
    for state, after in zip(outlook.states, outlook.after, strict=True):
        fixed = isinstance(outlook.check, Action) or outlook.check.kind == "again"
        seen = state if fixed else lower(outlook.finding.wording(state))
        then = round(float(after[node]), 4)
        outcomes.append(CheckOutcome(seen, key, then, follows(seen, inquiry.knowledge.name(key), now, then)))
    return tuple(outcomes)
