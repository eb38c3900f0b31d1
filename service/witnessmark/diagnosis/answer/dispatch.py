"""What to send and what to do until then: a decision table over the leading hypotheses, no learning."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from witnessmark.diagnosis.answer.extremes import alarms, extremes
from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.answer.operation import EVIDENCE, ICE, SPARED, operation, running
from witnessmark.diagnosis.answer.permitted import cools_water
from witnessmark.diagnosis.answer.plights import SAVE
from witnessmark.diagnosis.answer.priority import (
    CARE,
    COMFORT,
    DAMAGE,
    GOODS,
    IF_POWERED,
    NOW,
    OCCUPIED,
    PLANNED,
    priority,
)
from witnessmark.diagnosis.answer.proof_first import NOTHING_FITTED, first_steps, fit_in_doubt
from witnessmark.diagnosis.answer.safety import abnormal
from witnessmark.diagnosis.answer.settled import follows_from, told_causes
from witnessmark.diagnosis.answer.situation import doubted
from witnessmark.diagnosis.catalogue.action_rows import Advice, Crew, Fluid, SafetyRule, Step
from witnessmark.diagnosis.catalogue.rows import DANGER, NO_FAULT
from witnessmark.diagnosis.catalogue.triage import has, triage
from witnessmark.diagnosis.phrases import listed, quoted
from witnessmark.diagnosis.result import (
    DiagnosisVerdict,
    DispatchAdvice,
    Named,
    Operation,
    PartAdvice,
    PartWhen,
    Priority,
    SafetyNotice,
)

MODES, _CAUSES = 2, 2
"""Modes and causes that advice is given for: one crew prepares for no more."""
_FIRST_LOOK = 60
"""Minutes on site where nothing is known yet (expert estimate)."""
_LOCKED = "Do not energise: lock out."
_ECHOES = ("Lock out", "Do not re-energise")
"""Steps that say what a stop order says already; without one locking out is a step of the work, no order."""
_FOR_THE_WORK = "Lock out before anything is opened"
_COMPRESSOR, _WATER = "compressor", "water-cooled"
_NO_SWITCH = "switch-on-or-off-inside"
SWITCH_OFF = "Switch it off and leave it off until a technician has looked at it"
"""What is said on the phone where a machine is stopped and no rule has words of its own."""
_NO_SECOND_START = "Once it has stopped, do not start the compressor again yet."
LEAVE_IT = "Leave it as it is, and do not try to start it"
"""What is said where nobody can say whether it may run."""
IF_WRONG = "If anything seems wrong with it, leave it as it is and do not try to start it"
"""Instead of LEAVE_IT, where nothing of what was said was understood."""
NO_FAULT_TOLD = "No fault was told: if anything about the machine seems wrong, say what"
"""Instead of LEAVE_IT, to whoever rings for an invoice or a date."""
_FOR_CALLER = {
    "stop": SWITCH_OFF,
    "keep-running": "Let it run; call again if it gets louder, hotter or stops",
    "unknown": LEAVE_IT,
}
_LET_RUN = "Leave it as it is; once it has stopped, do not start it again"
_SPARE = "Switch it off if it can be spared; once it has stopped, do not start it again"
"""What is said of a machine that runs, and of which nobody can say whether it may."""
_TRAINED: Mapping[Fluid, str] = {"toxic": "toxic-refrigerant", "flammable": "flammable-refrigerant"}
_THAW = (
    "Switch the cooling off at its control, leave the fans on if they turn, and let the ice thaw with something under "
    "it for the water; do not chip it and use no flame"
)
"""An iced coil feeds the compressor with liquid, and a chipped one leaks (common practice)."""
_STANDS = {"power-off", "compressor-removed", "circuit-open"}
_WHEN = {
    NOW: "at once",
    IF_POWERED: "at once",
    DAMAGE: "today",
    CARE: "today",
    GOODS: "today",
    OCCUPIED: "as soon as somebody is free",
    COMFORT: "this week",
    PLANNED: "as planned work",
}


def dispatch(inquiry: Inquiry, verdict: DiagnosisVerdict, fired: tuple[SafetyNotice, ...]) -> DispatchAdvice:
    """The advice for the modes of the verdict and the causes behind them."""
    beyond = extremes({}, inquiry.case)
    signs = {**dict.fromkeys(alarms(beyond), "present"), **abnormal(inquiry)}
    keys = tuple(dict.fromkeys((*_modes(inquiry, verdict), *causes(inquiry))))
    proved = verdict.leading if verdict.state == "diagnosed" else ()
    ranked = priority(inquiry.knowledge, inquiry.case, signs, beyond=beyond)
    return advice(inquiry, (keys, proved), fired, operation(inquiry, fired, signs, beyond), ranked)


def advice(
    inquiry: Inquiry,
    keys: tuple[Sequence[str], Sequence[str]],
    fired: Sequence[SafetyNotice],
    runs: Operation,
    ranked: Priority,
) -> DispatchAdvice:
    """What the rows of some hypotheses come to. keys: those in view, and those of them that are proved."""
    rows = [inquiry.knowledge.advice[key] for key in _agreed(inquiry, keys[0]) if key in inquiry.knowledge.advice]
    crew = [row for row in rows if row.target not in inquiry.knowledge.causes] or rows
    rules = {rule.id: rule for rule in inquiry.knowledge.safety}
    sent: list[Crew] = [*crew, *(rules[notice.rule] for notice in fired)]
    skills = named(triage().skill, _skills(inquiry, sent))
    return DispatchAdvice(
        priority=ranked,
        operation=runs,
        persons=max((row.persons for row in sent), default=1),
        skills=skills,
        minutes=max((row.minutes for row in rows), default=_FIRST_LOOK),
        tools=named(triage().tool, _tools(inquiry, fired, rows)),
        parts=tuple(_parts(inquiry, rows, keys[1])),
        parts_note=_parts_note(inquiry, rows, keys[1]),
        for_caller=_with_saved(_for_caller(inquiry, fired, rows, runs), [*_saved(inquiry, ranked)]),
        for_technician=_for_technician(inquiry, fired, rows, runs),
        keep_as_evidence=_all(row.keep_as_evidence for row in rows),
        for_hypotheses=tuple(row.target for row in rows),
        text=_text(inquiry, ranked, skills, rows),
    )


def _agreed(inquiry: Inquiry, keys: Sequence[str]) -> list[str]:
    """Without what contradicts a cause that was told or measured as such, and what rests on readings in doubt alone."""
    told = told_causes(inquiry)[:_CAUSES]
    kept = [key for key in keys if not _rests_on_doubt(inquiry, key)]
    if not told:
        return kept
    sure = inquiry.decisions.verdict.diagnosed
    modes = [key for key in kept if key not in inquiry.knowledge.causes]
    return [*told, *(m for m in modes if inquiry.suspected(m) >= sure or follows_from(inquiry, told, m))]


def _rests_on_doubt(inquiry: Inquiry, key: str) -> bool:
    """Whether nothing but readings that cannot be right together speaks for it."""
    node, doubt = inquiry.net.node(key), doubted(inquiry.case)
    if node is None or not doubt:
        return False
    fields = {name.replace("_", " ") for one in inquiry.case.doubts for name in one.readings}
    alone, pieces = inquiry.single_weights[:, node], inquiry.evidence.items
    speaking = [piece for k, piece in enumerate(pieces) if alone[k] >= EVIDENCE / 2]
    return bool(speaking) and all(p.finding in doubt or any(name in p.text for name in fields) for p in speaking)


def _skills(inquiry: Inquiry, sent: Sequence[Crew]) -> tuple[str, ...]:
    """What whoever is sent must be able to do; toxic and burning refrigerants ask for a training of their own."""
    needed = _all(row.skills for row in sent) or ("refrigeration",)
    trained = [skill for what, skill in _TRAINED.items() if has(inquiry.case.fluid, what)][:1]
    return _all([needed, trained if "refrigerant-handling" in needed else ()])


def _tools(inquiry: Inquiry, fired: Sequence[SafetyNotice], rows: Sequence[Advice]) -> tuple[str, ...]:
    """What keeps those who are sent alive, before what the work needs."""
    rules = {rule.id: rule for rule in inquiry.knowledge.safety}
    tools = _all([*(rules[notice.rule].tools for notice in fired), *(row.tools for row in rows)])
    machine = inquiry.case.machine
    no_capacitor = triage().part["capacitor"].needless({}, machine, on_water=False)
    return tuple(tool for tool in tools if not (no_capacitor and tool == _METER))


def causes(inquiry: Inquiry) -> list[str]:
    """The likely causes, most probable first."""
    likely = [inquiry.net.nodes[node] for node in inquiry.causes[:_CAUSES]]
    return [key for key in likely if inquiry.probability(key) >= inquiry.decisions.verdict.leading]


def named(words: Mapping[str, str], ids: Iterable[str]) -> tuple[Named, ...]:
    """The ids with their words."""
    return tuple(Named(key, words[key]) for key in ids)


def _modes(inquiry: Inquiry, verdict: DiagnosisVerdict) -> tuple[str, ...]:
    """Those of the verdict that something found speaks for; what is only common is no reason to act."""
    if verdict.state == "no-compressor-fault-likely":
        return (NO_FAULT,)
    return tuple(key for key in verdict.leading if inquiry.shift(key) >= EVIDENCE)[:MODES]


def _all(groups: Iterable[Iterable[str]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(item for group in groups for item in group))


def _parts(inquiry: Inquiry, rows: Sequence[Advice], proved: Sequence[str]) -> Iterator[PartAdvice]:
    """No part is ordered before the verdict is in, unless the compressor is replaced whatever is found.

    Nor a compressor for what a sound one lives through (wet or short suction, heat) while nothing shows it damaged,
    nor for a failure that readings stand against.
    """
    settled = (_COMPRESSOR,) if inquiry.case.compressor_fate == "replaced-anyway" else ()
    ordered = {
        *(() if fit_in_doubt(inquiry) else settled),
        *(part for row in rows if row.target in proved for part in _of_this(inquiry, row) if _owed(inquiry, row, part)),
    }
    machine, states = inquiry.case.machine, inquiry.evidence.states
    for key in _all([settled, *(_of_this(inquiry, row) for row in rows)]):
        part = triage().part[key]
        on_water = inquiry.case.condenser == _WATER
        if (part.cools_air and cools_water(inquiry.case)) or part.needless(states, machine, on_water=on_water):
            continue
        big: PartWhen = "order" if key in ordered else "only-if-proved"
        yield PartAdvice(key, part.words, big if part.to_order else "take-along")


def _of_this(inquiry: Inquiry, row: Advice) -> tuple[str, ...]:
    """The parts of a row at this machine: what opens by bolts is mended, and no other compressor is put in for it."""
    mended = row.welded and inquiry.case.machine.construction in _BOLTED
    return tuple(part for part in row.parts if not (mended and part == _COMPRESSOR))


_BOLTED = ("semi-hermetic", "open-drive")
_METER = "capacitance-meter"


def _owed(inquiry: Inquiry, row: Advice, part: str) -> bool:
    """Whether a proved mode is reason enough to order the part."""
    return part != _COMPRESSOR or not row.survived or damaged(inquiry)


def damaged(inquiry: Inquiry) -> bool:
    """Whether the compressor is known to have failed, or something broken, worn or burnt was found in it."""
    return inquiry.case.compressor_fate is not None or not triage().damage.findings.isdisjoint(abnormal(inquiry))


def _parts_note(inquiry: Inquiry, rows: Sequence[Advice], proved: Sequence[str]) -> str:
    told = inquiry.case.machine.construction is not None
    notes = [row.parts_note for row in rows if row.parts_note and not (row.welded and told)]
    notes += [NOTHING_FITTED] if fit_in_doubt(inquiry) else []
    if rows and not proved and rows[0].target != NO_FAULT:
        notes.insert(0, "order nothing before the next checks")
    return "; ".join(dict.fromkeys(notes))


def _steps(inquiry: Inquiry, steps: Iterable[Step], runs: Operation) -> Iterator[str]:
    """The steps whose conditions hold."""
    for step in steps:
        held_off = step.only == "may-run" and runs.advice == "stop"
        fits = _phases(inquiry, step) and has(inquiry.case.fluid, step.fluid)
        wet = (step.in_air and inquiry.case.condenser == _WATER) or (step.cools_air and cools_water(inquiry.case))
        elsewhere = held_off or wet
        if fits and not elsewhere and _by_findings(inquiry, step):
            yield step.text


def _phases(inquiry: Inquiry, step: Step) -> bool:
    return step.phases is None or inquiry.case.machine.phases in (None, step.phases)


def _by_findings(inquiry: Inquiry, step: Step) -> bool:
    """Whether no finding has ruled the step out, and one of those that ask for it is there."""
    states = inquiry.evidence.states
    out = any(states.get(key) == state for key, state in step.unless.items())
    return not out and (not step.when or any(states.get(key) == state for key, state in step.when.items()))


def _for_technician(
    inquiry: Inquiry, fired: Sequence[SafetyNotice], rows: Sequence[Advice], runs: Operation
) -> tuple[str, ...]:
    """What the rules forbid comes first.

    What would stop a machine is ordered where it has to stop, or where what stops it leads and the machine does not run
    on: a mode that is merely in view forbids no run by which it would be told.
    """
    kept = [row for row in rows if row.run != "stop" or runs.advice == "stop" or _leads(inquiry, row, runs)]
    forbidden = [_do_not(inquiry, notice) for notice in fired]
    steps = _all([*forbidden, first_steps(inquiry, fired), *(_steps(inquiry, row.do_now, runs) for row in kept)])
    if _LOCKED in steps:
        return tuple(step for step in steps if step not in _ECHOES)
    if runs.advice == "stop":
        return steps
    return tuple(_FOR_THE_WORK if step == _ECHOES[0] else step for step in steps if step != _ECHOES[1])


def _leads(inquiry: Inquiry, row: Advice, runs: Operation) -> bool:
    return runs.advice != "keep-running" and inquiry.suspected(row.target) >= inquiry.decisions.verdict.leading


def _do_not(inquiry: Inquiry, notice: SafetyNotice) -> tuple[str, ...]:
    words = {
        "energise": _LOCKED,
        "start": _NO_SECOND_START if running(inquiry) else "Do not start the compressor yet.",
        "open-circuit": "Do not open the circuit yet.",
    }
    return tuple(words[word] for word in notice.forbids if word in words)


def _for_caller(
    inquiry: Inquiry, fired: Sequence[SafetyNotice], rows: Sequence[Advice], runs: Operation
) -> tuple[str, ...]:
    """What to say on the phone: dangers first, then stop or go on, then what the caller can look at."""
    rules = {rule.id: rule for rule in inquiry.knowledge.safety}
    gas = any(_NO_SWITCH in notice.forbids for notice in fired)
    words = [(n, _told(inquiry, n, _of_rule(inquiry, rules[n.rule], gas=gas))) for n in fired]
    lying = _on_the_bench(inquiry)
    said = _all(lines for notice, lines in words if not lying or _of_danger(inquiry, notice))
    looks = _all(_steps(inquiry, row.for_caller, runs) for row in rows)
    return (*(said or (_until_then(inquiry, runs),)), *looks)


def _on_the_bench(inquiry: Inquiry) -> bool:
    """Whether the compressor lies on the bench, where nobody switches it off or resets it."""
    return "compressor-removed" in (inquiry.case.conditions or ())


def _until_then(inquiry: Inquiry, runs: Operation) -> str:
    """What no rule has words for: stop, run on, or hands off, of a machine that runs or one that stands."""
    if _on_the_bench(inquiry):
        return LEAVE_IT
    if runs.advice != "unknown" or not running(inquiry):
        return _FOR_CALLER[runs.advice]
    return _SPARE if runs.reason == SPARED else _LET_RUN


def _saved(inquiry: Inquiry, ranked: Priority) -> Iterator[str]:
    """What the caller can do for what is at stake; nothing where people are in danger and leave the place."""
    if ranked.kind == "danger":
        return
    urgency = inquiry.case.urgency
    if urgency is not None and urgency in SAVE:
        yield SAVE[urgency]
    if abnormal(inquiry).get(ICE) == "present" and not _STANDS & set(inquiry.case.conditions or ()):
        yield _THAW


def _with_saved(said: Sequence[str], saved: Sequence[str]) -> tuple[str, ...]:
    """Both; where ice is to be thawed the machine is not left as it is."""
    left = (*_FOR_CALLER.values(), _LET_RUN, _SPARE) if _THAW in saved else ()
    return (*(line for line in said if line not in left), *saved)


def _of_rule(inquiry: Inquiry, rule: SafetyRule, *, gas: bool) -> tuple[str, ...]:
    """What a rule tells on the phone, of a machine that stands or runs. gas: another forbids every switch in there."""
    if gas and rule.for_caller_in_gas:
        return rule.for_caller_in_gas
    return rule.for_caller_running if rule.for_caller_running and running(inquiry) else rule.for_caller


def _told(inquiry: Inquiry, notice: SafetyNotice, for_caller: tuple[str, ...]) -> tuple[str, ...]:
    """A danger to people without words for the phone is told in the words of its rule."""
    return for_caller or ((notice.text,) if _of_danger(inquiry, notice) else ())


def _of_danger(inquiry: Inquiry, notice: SafetyNotice) -> bool:
    """Whether a danger to people fired it."""
    findings = inquiry.knowledge.findings
    return any(findings[key].group == DANGER for key in notice.because if key in findings)


def _text(inquiry: Inquiry, ranked: Priority, skills: Sequence[Named], rows: Sequence[Advice]) -> str:
    """Whom to send and when, for what."""
    about = quoted([inquiry.knowledge.name(row.target) for row in rows if row.target != NO_FAULT])
    crew = listed([skill.words for skill in skills])
    return f"Send {_WHEN[ranked.level]}: {crew}" + (f"; for {about}." if about else ".")
