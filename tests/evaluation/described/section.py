"""The part of the evaluation page on described cases."""

from __future__ import annotations

from collections.abc import Sequence

from tests.evaluation import texts
from tests.evaluation.described import agreement, worded
from tests.evaluation.described.__main__ import totals
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.diagnosis.review.case_set import Described


def text(described: Sequence[Described], knowledge: Knowledge) -> str:
    """Development set, the published ones as worded, the sealed ones, and the yardstick of medicine."""
    outcomes = agreement.answered(described, knowledge)
    parts = (
        f"{texts.CASES}\n{agreement.by_kind(outcomes)}",
        f"{texts.WHO}\n{agreement.by_who(outcomes, agreement.unseen(described, knowledge))}",
        f"{texts.FAILURES}\n\n{agreement.failures(outcomes)}",
        as_worded(knowledge),
        f"{texts.SEALED}\n{totals()}",
        agreement.YARDSTICK,
    )
    return "\n\n".join(part.rstrip() for part in parts)


def as_worded(knowledge: Knowledge) -> str:
    """The published cases in their sources' words alone: totals, the same of who knows nothing, failures."""
    cases = worded.cases()
    outcomes = agreement.answered(cases, knowledge)
    head = texts.WORDED.format(cases=len(cases), sources=len({case.source for case in cases}))
    tables = (agreement.by_kind(outcomes), agreement.by_who(outcomes, agreement.unseen(cases, knowledge)))
    return "\n\n".join([head.rstrip(), *tables, "What did not come out:", agreement.failures(outcomes)])
