"""What to send and what to do until then: a decision table over the leading hypotheses, no learning."""

from __future__ import annotations

from collections.abc import Iterable

from witnessmark.diagnosis.answer.inquiry import Inquiry
from witnessmark.diagnosis.catalogue.rows import NO_FAULT, Advice
from witnessmark.diagnosis.phrases import quoted
from witnessmark.diagnosis.result import DiagnosisVerdict, DispatchAdvice, SafetyNotice

_PLANNED = 4
_AT_ONCE = 1
_CAUSES = 2
_LOCKED = "Do not energise: lock out."
_ECHOES = ("Lock out", "Do not re-energise")


def dispatch(inquiry: Inquiry, verdict: DiagnosisVerdict, fired: tuple[SafetyNotice, ...]) -> DispatchAdvice:
    """The advice for the modes of the verdict and the causes behind them, most urgent first, the hazards on top."""
    keys = tuple(dict.fromkeys((*_modes(verdict), *_causes(inquiry))))
    rows = [inquiry.knowledge.advice[key] for key in keys if key in inquiry.knowledge.advice]
    rows.sort(key=lambda row: (_priority(inquiry, verdict, row), -inquiry.probability(row.target)))
    urgent = any(_seen(inquiry, notice) for notice in fired)
    priority = _AT_ONCE if urgent else min([_PLANNED, *(_priority(inquiry, verdict, row) for row in rows)])
    # who can judge the machine can also put its cause right; the reverse need not be so
    leading = [row for row in rows if row.target not in inquiry.knowledge.causes] or rows
    crew = leading[0].crew if leading else "one refrigeration technician"
    return DispatchAdvice(
        priority=priority,
        crew=crew,
        tools=_all(row.tools for row in rows),
        parts_class=_parts(verdict, rows),
        do_now=_without_echo(_all([*(_do_not(notice) for notice in fired), *(row.do_now for row in rows)])),
        keep_as_evidence=_all(row.keep_as_evidence for row in rows),
        for_hypotheses=tuple(row.target for row in rows),
        text=_text(inquiry, priority, crew, rows),
    )


def _seen(inquiry: Inquiry, notice: SafetyNotice) -> bool:
    """Whether power is forbidden because of something that was found, not only by a suspicion."""
    return "energise" in notice.forbids and any(key in inquiry.knowledge.findings for key in notice.because)


def _priority(inquiry: Inquiry, verdict: DiagnosisVerdict, row: Advice) -> int:
    """That of the row; nothing that was only taken into view is sent for at once."""
    leads = inquiry.probability(row.target) >= inquiry.decisions.verdict.leading
    in_view = verdict.state == "not-enough-evidence" or not leads
    return max(row.priority, _AT_ONCE + 1) if in_view else row.priority


def _modes(verdict: DiagnosisVerdict) -> tuple[str, ...]:
    if verdict.state == "no-compressor-fault-likely":
        return (NO_FAULT,)
    return verdict.leading


def _causes(inquiry: Inquiry) -> list[str]:
    likely = [inquiry.net.nodes[node] for node in inquiry.causes[:_CAUSES]]
    return [key for key in likely if inquiry.probability(key) >= inquiry.decisions.verdict.leading]


def _all(groups: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(item for group in groups for item in group))


def _without_echo(steps: tuple[str, ...]) -> tuple[str, ...]:
    """A lock-out is said once."""
    return tuple(step for step in steps if step not in _ECHOES or _LOCKED not in steps)


def _do_not(notice: SafetyNotice) -> tuple[str, ...]:
    words = {
        "energise": _LOCKED,
        "start": "Do not start the compressor yet.",
        "open-circuit": "Do not open the circuit yet.",
    }
    return tuple(words[word] for word in notice.forbids if word in words)


def _parts(verdict: DiagnosisVerdict, rows: list[Advice]) -> str:
    """No parts before the verdict is in: a compressor is ordered on a diagnosis, not on a candidate."""
    if verdict.state == "diagnosed":
        return "; ".join(dict.fromkeys(row.parts_class for row in rows if row.target in verdict.leading))
    if verdict.state == "no-compressor-fault-likely" and rows:
        return rows[0].parts_class
    likely = "; ".join(dict.fromkeys(row.parts_class for row in rows))
    return f"none to order before the next checks; may become: {likely}" if likely else "none before the next checks"


def _text(inquiry: Inquiry, priority: int, crew: str, rows: list[Advice]) -> str:
    when = {1: "at once", 2: "today", 3: "this week"}.get(priority, "as planned work")
    about = quoted([inquiry.knowledge.name(row.target) for row in rows if row.target != NO_FAULT])
    return f"Send {when}: {crew}" + (f"; for {about}." if about else ".")
