"""GET /v1/findings, /v1/failure-modes, /v1/causes: every word and number the diagnosis rests on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated

from fastapi import Query

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Time
from witnessmark.api.routing import catalogue, version_one
from witnessmark.api.schemas.knowledge import (
    AppliesTo,
    CauseEntry,
    CauseList,
    CausesAnswer,
    CheckNote,
    FindingEntry,
    FindingList,
    FindingsAnswer,
    FindingsQuery,
    KnowledgeQuery,
    LinkNote,
    ModeEntry,
    ModeList,
    ModesAnswer,
    NormalEntry,
)
from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.knowledge import Applies, Cause, CheckRow, Finding, Link, Mode, knowledge

router = version_one("diagnosis")


def _machine(query: KnowledgeQuery | FindingsQuery) -> Machine:
    return Machine(query.compressor, query.shell, query.drive)


def _cited(context: RequestContext, rows: Iterable[Finding | Mode | Cause]) -> None:
    context.cite(*dict.fromkeys(row.source for row in rows))


@catalogue(router, "/findings", "The findings that a diagnosis understands")
async def list_findings(query: Annotated[FindingsQuery, Query()]) -> FindingsAnswer:
    """What can be seen, measured or told, with wording, background rate and how to check it."""
    context, machine, held = RequestContext(), _machine(query), knowledge()
    rows = [
        f for f in held.findings.values() if f.applies.to(machine) and (query.stage is None or f.stage == query.stage)
    ]
    _cited(context, rows)
    context.warn("licensed")
    normals = [NormalEntry(id=n.id, text=n.text, means_absent=list(n.means_absent)) for n in held.normals.values()]
    result = FindingList(findings=[_finding(row) for row in rows], normals=normals)
    return FindingsAnswer(result=result, **context.notes())


@catalogue(router, "/failure-modes", "The failure modes that a diagnosis can name")
async def list_failure_modes(query: Annotated[KnowledgeQuery, Query()]) -> ModesAnswer:
    """How compressors fail, what it looks like in the field and at teardown, and what tells the modes apart."""
    context, machine, held = RequestContext(), _machine(query), knowledge()
    rows = [m for m in held.modes.values() if m.applies.to(machine)]
    _cited(context, rows)
    context.warn("licensed")
    modes = [_mode(row, [link for link in held.mode_finding if link.origin == row.id]) for row in rows]
    return ModesAnswer(result=ModeList(failure_modes=modes), **context.notes())


@catalogue(router, "/causes", "The system-side causes that a diagnosis can name")
async def list_causes(query: Annotated[KnowledgeQuery, Query()]) -> CausesAnswer:
    """What in the system leads to failures, how to confirm it and how to put it right."""
    context, machine, held = RequestContext(), _machine(query), knowledge()
    rows = [c for c in held.causes.values() if c.applies.to(machine)]
    _cited(context, rows)
    context.warn("licensed")
    causes = [_cause(row, [link for link in held.cause_mode if link.origin == row.id]) for row in rows]
    return CausesAnswer(result=CauseList(causes=causes), **context.notes())


def _applies(row: Applies) -> AppliesTo:
    return AppliesTo(compressor=sorted(row.compressor), shell=sorted(row.shell), drive=sorted(row.drive))


def _link(row: Link) -> LinkNote:
    return LinkNote(
        id=row.target, state=row.state, probability=row.probability, rationale=row.rationale, source=row.source
    )


def _check(row: CheckRow) -> CheckNote:
    return CheckNote(
        how=row.how,
        time=Time(value=row.minutes, unit="min"),
        cost=row.cost,
        tools=list(row.tools),
        hazards=list(row.hazards),
        needs=list(row.needs),
        energised=row.energised,
        opens_circuit=row.opens_circuit,
    )


def _finding(row: Finding) -> FindingEntry:
    two = row.kind == "yes-no"
    return FindingEntry(
        id=row.id,
        text=row.text,
        kind=row.kind,
        states=["present", "absent"] if two else ["low", "normal", "high"],
        low_text=row.low_text,
        high_text=row.high_text,
        opposite=row.opposite,
        group=row.group,
        stage=row.stage,
        background=row.background if two else None,
        background_low=None if two else row.background_low,
        background_high=None if two else row.background_high,
        reliability=row.reliability,
        applies=_applies(row.applies),
        check=_check(row.check) if row.check else None,
        rationale=row.rationale,
        source=row.source,
    )


def _mode(row: Mode, links: list[Link]) -> ModeEntry:
    return ModeEntry(
        id=row.id,
        name=row.name,
        text=row.text,
        kind=row.kind,
        prior=row.prior,
        field=row.field,
        teardown=row.teardown,
        discriminators=row.discriminators,
        actions=row.actions,
        prevention=row.prevention,
        applies=_applies(row.applies),
        findings=[_link(link) for link in links],
        rationale=row.rationale,
        source=row.source,
    )


def _cause(row: Cause, links: list[Link]) -> CauseEntry:
    return CauseEntry(
        id=row.id,
        name=row.name,
        prior=row.prior,
        confirm=row.confirm,
        correct=row.correct,
        applies=_applies(row.applies),
        failure_modes=[_link(link) for link in links],
        rationale=row.rationale,
        source=row.source,
    )
