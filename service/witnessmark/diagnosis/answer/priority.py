"""How soon to send: danger to people, spreading damage, loss of care or goods, comfort, planned work, in this order.

It hangs on what was found, on what the caller says depends on the machine, and on nothing else: no probability enters,
so a danger more never lowers it, a good finding never raises it, and more urgency never lowers it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Literal, NamedTuple

from witnessmark.calculations.metrology.uncertainty import COVERAGE
from witnessmark.diagnosis.answer.extremes import Extreme
from witnessmark.diagnosis.answer.wording import seen
from witnessmark.diagnosis.case import Case, Urgency
from witnessmark.diagnosis.catalogue.readings import catalogue
from witnessmark.diagnosis.catalogue.rows import DANGER, RUNS, Knowledge
from witnessmark.diagnosis.catalogue.triage import Sign, Stake, signs_of, triage
from witnessmark.diagnosis.result import Priority, PriorityKind

NOW, IF_POWERED, DAMAGE, CARE, GOODS, OCCUPIED, COMFORT, PLANNED = range(1, 9)
KINDS: Mapping[int, PriorityKind] = {
    NOW: "danger",
    IF_POWERED: "danger",
    DAMAGE: "spreading-damage",
    CARE: "loss-of-goods-or-care",
    GOODS: "loss-of-goods-or-care",
    OCCUPIED: "comfort",
    COMFORT: "comfort",
    PLANNED: "planned-work",
}
"""What each level is about."""
_CALLER: Mapping[Urgency, tuple[int, str]] = {
    "medical": (CARE, "Care or medicine depends on it."),
    "food-at-risk": (GOODS, "Goods will be lost."),
    "process-at-risk": (GOODS, "A process or equipment depends on it."),
    "occupied": (OCCUPIED, "People in the building are without it."),
    "comfort": (COMFORT, "Comfort is what is lost."),
    "none": (PLANNED, "The caller says that nothing is urgent."),
}
Unheard = Literal["sounds", "danger", "suspected", "uneasy", "alarm", "unread", "nothing", "part", "unfit"]
"""What of a note was not understood: what most likely is danger to people by all its words together, words of danger
that nobody understood, what sounds like danger without such a word, what may be danger where little was understood,
other words of alarm, all of it since its language is not read, or all of it, or words beside what is well; or all that
was understood is of another kind of machine."""
_STANDS = {"power-off", "compressor-removed", "circuit-open"}
FROST, HOT = "frost-on-suction", "protector-open-hot"
_ICE = 273.15
_EMPTIED = {"compressor-removed", "circuit-open"}
_MOST_NAMED = 2


class _Claim(NamedTuple):
    """One reason to send at a level."""

    level: int
    reason: str
    because: tuple[str, ...] = ()


_UNHEARD: Mapping[Unheard, _Claim] = {
    "sounds": _Claim(NOW, "The note may tell of danger in words that were not understood: call back at once."),
    "danger": _Claim(IF_POWERED, "The note holds words of alarm that were not understood: call back first."),
    "suspected": _Claim(GOODS, "The note may tell of danger in words that were not understood: call back at once."),
    "uneasy": _Claim(GOODS, "The note may tell of danger in words that were not understood: call back at once."),
    "alarm": _Claim(GOODS, "The note sounds urgent and does not say why: call back soon."),
    "unread": _Claim(GOODS, "The note is in a language that is not read: call back at once."),
    "unfit": _Claim(COMFORT, "What the note tells does not fit this machine: call back before it is put off."),
    "nothing": _Claim(COMFORT, "Nothing in the note was understood: call back before it is put off."),
    "part": _Claim(COMFORT, "Part of the note was not understood: call back before it is put off."),
}


def priority(
    knowledge: Knowledge,
    case: Case,
    signs: Mapping[str, str],
    unheard: Unheard | None = None,
    *,
    planned: bool = False,
    beyond: Sequence[Extreme] = (),
) -> Priority:
    """The most urgent of all claims.

    signs: abnormal findings with their states, doubtful ones among them. unheard: what of a note was not
    understood; words of danger count as danger until somebody has called back, what only sounds so and other
    words of alarm never outrank damage or goods that were understood. planned: the note asks for work that can be
    planned. beyond: readings that no machine runs at for long.
    """
    signs = _serious(case, signs)
    claims = [
        *_beyond(case, beyond),
        *_leaks(case, signs),
        *_claims(knowledge, case, signs, planned=planned),
        *_unheard(case, unheard, planned=planned),
    ]
    first = min(claims, key=lambda claim: claim.level)
    rank = list(_CALLER).index(case.urgency or "comfort")
    order = 100 * first.level + 10 * rank + (not _at_stake(case, signs, "out-of-action")) + (not signs)
    return Priority(first.level, KINDS[first.level], order, first.reason, first.because)


def endangered(knowledge: Knowledge, case: Case, signs: Mapping[str, str]) -> tuple[str, ...]:
    """The findings for which damage spreads while it runs, or people are in danger: what else decides the priority."""
    left = _serious(case, signs)
    danger = [key for key in left if key in knowledge.findings and knowledge.findings[key].group == DANGER]
    damage = () if _STANDS & set(case.conditions or ()) else _at_stake(case, left, "damage")
    leaking = _leaking(case, signs)
    return tuple(dict.fromkeys((*danger, *leaking, *_at_stake(case, left, "danger-if-powered"), *damage)))


def _serious(case: Case, signs: Mapping[str, str]) -> dict[str, str]:
    """The signs without those whose worse meaning was looked for and is not there."""
    denied = {report.finding for report in case.findings if report.state == "absent"}
    left = {key: state for key, state in signs.items() if not _harmless(case, key, state, denied)}
    return {key: state for key, state in left.items() if key != FROST or not frost_is_usual(case)}


def frost_is_usual(case: Case) -> bool:
    """Whether frost on the suction line only shows that the line is colder than ice, the gas in it read dry."""
    line = dict(case.values).get("suction_temperature")
    return line is not None and line[0] < _ICE and _superheat_left(case)


def _beyond(case: Case, beyond: Sequence[Extreme]) -> Iterator[_Claim]:
    for one in beyond:
        if one.danger:
            yield _Claim(NOW, f"Danger to people: {one.reason}.", (one.finding,))
    for doubt in case.doubts:
        danger = doubt.heard not in ("", HOT)  # a protector that waits for the shell to cool is none
        level, start = (IF_POWERED, "Danger if it is switched on") if danger else (COMFORT, "To be measured again")
        yield _Claim(level, f"{start}: {doubt.why}.", (doubt.heard,) if doubt.heard else ())
    if beyond and _STANDS.isdisjoint(case.conditions or ()):
        because = tuple(one.finding for one in beyond)
        yield _Claim(DAMAGE, f"Damage spreads while it runs or tries to: {beyond[0].reason}.", because)


def _leaks(case: Case, signs: Mapping[str, str]) -> Iterator[_Claim]:
    """Of a toxic refrigerant a leak is a danger at once, of one that burns it is one if power is switched."""
    row, leaking = triage().leak, _leaking(case, signs)
    if leaking and case.fluid and case.fluid.toxic:
        yield _Claim(NOW, f"Danger to people: {row.toxic}.", leaking)
    elif leaking:
        yield _Claim(IF_POWERED, f"Danger if it is switched on: {row.burns}.", leaking)


def _leaking(case: Case, signs: Mapping[str, str]) -> tuple[str, ...]:
    """A leak told of a refrigerant that is known to be toxic or to burn, at a machine that nobody has emptied."""
    fluid = case.fluid
    if fluid is None or not (fluid.toxic or fluid.flammable) or not _EMPTIED.isdisjoint(case.conditions or ()):
        return ()
    return tuple(key for key in triage().leak.findings if signs.get(key) == "present")


def _harmless(case: Case, key: str, state: str, denied: Collection[str]) -> bool:
    """Whether the worse that a sign might be was looked for and is not there."""
    rows = [row for row in signs_of(case.fluid) if row.seen(key, state) and row.unless_denied]
    return any(all(worse in denied for worse in row.unless_denied) for row in rows)


def _unheard(case: Case, unheard: Unheard | None, *, planned: bool) -> Iterator[_Claim]:
    """Words of danger always; others are weaker beside planned work, and "nothing" where nothing is urgent."""
    if unheard in ("sounds", "danger", "suspected", "uneasy", "unread") or (unheard == "alarm" and not planned):
        yield _UNHEARD[unheard]
    elif unheard == "alarm" or (unheard and case.urgency != "none"):
        yield _UNHEARD[unheard if unheard in ("unfit", "part") else "nothing"]


def _claims(knowledge: Knowledge, case: Case, signs: Mapping[str, str], *, planned: bool) -> Iterator[_Claim]:
    known = [key for key in signs if key in knowledge.findings]
    if danger := tuple(key for key in known if knowledge.findings[key].group == DANGER):
        yield _Claim(NOW, f"Danger to people: {seen(knowledge, signs, danger[:_MOST_NAMED])}.", danger)
    yield from _at_risk((knowledge, case), signs, "danger-if-powered", IF_POWERED, "Danger if it is switched on again")
    if _STANDS.isdisjoint(case.conditions or ()):
        yield from _at_risk((knowledge, case), signs, "damage", DAMAGE, "Damage spreads while it runs or tries to")
    yield _Claim(*_CALLER[case.urgency]) if case.urgency else _untold(case, signs, planned=planned)


def _at_risk(
    of: tuple[Knowledge, Case], signs: Mapping[str, str], stake: Stake, level: int, start: str
) -> Iterator[_Claim]:
    if because := _at_stake(of[1], signs, stake):
        yield _Claim(level, f"{start}: {seen(of[0], signs, because[:_MOST_NAMED])}.", because)


def _at_stake(case: Case, signs: Mapping[str, str], stake: Stake) -> tuple[str, ...]:
    """The findings that put this at stake; a machine that is dangerous to power is out of action as well."""
    stakes = (stake, "danger-if-powered") if stake == "out-of-action" else (stake,)
    rows = [row for row in signs_of(case.fluid) if row.stake in stakes and not spared(case, row)]
    return tuple(key for key, state in signs.items() if any(row.seen(key, state) for row in rows))


def spared(case: Case, row: Sign) -> bool:
    """Whether what was read or told shows that this sign puts nothing at stake."""
    return (row.unless_dry and _came_in_dry(case)) or (row.unless_runs and said_to_run(case))


def _came_in_dry(case: Case) -> bool:
    """Whether superheat was left at the suction and the discharge stood as far over saturation as dry gas leaves it."""
    least = catalogue()["discharge-superheat"].normal[0]
    hot = [r.value - COVERAGE * r.uncertainty for r in case.readings if r.quantity == "discharge-superheat"]
    return _superheat_left(case) and bool(hot) and min(hot) >= least


def _superheat_left(case: Case) -> bool:
    """Whether the suction line lies above saturation whatever the error of what it was read with."""
    line = [r for r in case.readings if r.quantity.startswith("suction-superheat")]
    return bool(line) and min(r.value - COVERAGE * r.uncertainty for r in line) > 0


def said_to_run(case: Case) -> bool:
    """Whether somebody said that it runs, or it was read running."""
    told = any(report.finding == RUNS and report.state == "present" for report in case.findings)
    return told or case.ran or case.told_to_run or RUNS in (case.conditions or ())


def _untold(case: Case, signs: Mapping[str, str], *, planned: bool) -> _Claim:
    """Nobody said what depends on it: goods in a cooler or a freezer, else people without cooling."""
    if planned and not signs:
        return _Claim(PLANNED, "The note asks for work that can be planned.")
    if signs and case.keeps_goods:
        return _Claim(GOODS, "It keeps goods cold, and something is wrong.", tuple(signs))
    if case.compressor_fate == "known-failed" and _EMPTIED.isdisjoint(case.conditions or ()):
        return _Claim(OCCUPIED, "The compressor is said to have failed, and nobody said who depends on it.")
    if because := _at_stake(case, signs, "out-of-action"):
        return _Claim(OCCUPIED, "It is out of action, and nobody said who depends on it.", because)
    if signs:
        return _Claim(COMFORT, "Something is wrong, and nobody said who depends on it.", tuple(signs))
    return _Claim(PLANNED, "Nothing was told that could not wait.")
