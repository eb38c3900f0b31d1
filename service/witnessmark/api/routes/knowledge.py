"""GET /v1/findings, /v1/failure-modes, /v1/causes: every word and number the diagnosis rests on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, TypeVar

from fastapi import Query

from witnessmark.api.context import RequestContext
from witnessmark.api.routing import catalogue, version_one
from witnessmark.api.schemas.knowledge import (
    CauseEntry,
    CausesAnswer,
    FindingsAnswer,
    FindingsQuery,
    KnowledgeQuery,
    ModeEntry,
    ModesAnswer,
)
from witnessmark.diagnosis.case import MACHINE_WORDS, Machine
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.rows import Cause, Finding, Link, Mode

router = version_one("diagnosis")
R = TypeVar("R", Finding, Mode, Cause)


def _fitting(context: RequestContext, query: KnowledgeQuery, rows: Iterable[R]) -> list[R]:
    """The rows that hold for the machine of the query, cited."""
    machine = Machine(**{part: getattr(query, part) for part in MACHINE_WORDS}).judged("query")
    fitting = [row for row in rows if row.applies.to(machine)]
    context.cite(*(row.source for row in fitting))
    context.warn("licensed")
    return fitting


def _from(origin: str, links: Iterable[Link]) -> list[Link]:
    return [link for link in links if link.origin == origin]


@catalogue(router, "/findings", "The findings that a diagnosis understands")
def list_findings(query: Annotated[FindingsQuery, Query()]) -> FindingsAnswer:
    """What can be seen, measured or told, with wording, background rate and how to check it."""
    context = RequestContext()
    rows = [row for row in knowledge().findings.values() if query.stage in (None, row.stage)]
    findings, normals = _fitting(context, query, rows), list(knowledge().normals.values())
    return context.answer(FindingsAnswer, {"findings": findings, "normals": normals})


@catalogue(router, "/failure-modes", "The failure modes that a diagnosis can name")
def list_failure_modes(query: Annotated[KnowledgeQuery, Query()]) -> ModesAnswer:
    """How compressors fail, what it looks like in the field and at teardown, and what tells the modes apart."""
    context = RequestContext()
    rows = _fitting(context, query, knowledge().modes.values())
    modes = [context.result(ModeEntry, row, findings=_from(row.id, knowledge().mode_finding)) for row in rows]
    return context.answer(ModesAnswer, {"failure_modes": modes})


@catalogue(router, "/causes", "The system-side causes that a diagnosis can name")
def list_causes(query: Annotated[KnowledgeQuery, Query()]) -> CausesAnswer:
    """What in the system leads to failures, how to confirm it and how to put it right."""
    context = RequestContext()
    rows = _fitting(context, query, knowledge().causes.values())
    causes = [context.result(CauseEntry, row, failure_modes=_from(row.id, knowledge().cause_mode)) for row in rows]
    return context.answer(CausesAnswer, {"causes": causes})
