"""Closed jobs as a shop hands them in: one JSON object a line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Annotated, Literal

from pydantic import Field, ValidationError

from witnessmark import data
from witnessmark.diagnosis.case import Channel, Machine, Report, ReportState
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.vocabulary import Compressor, Construction, Drive, Phases, ShellSide

Queue = Literal["dispatch", "warranty", "teardown", "monitoring"]
MOST = 200_000


class JobMachine(data.Row):
    """The machine, in the words of the service; a row that holds for some machines counts only where these are told."""

    compressor: Compressor | None = None
    shell: ShellSide | None = None
    drive: Drive | None = None
    construction: Construction | None = None
    phases: Phases | None = None

    def judged(self) -> Machine:
        """As the reasoning takes it."""
        return Machine(self.compressor, self.shell, self.drive, self.construction, self.phases).judged()


class ClosedJob(data.Row):
    """A job whose outcome somebody confirmed. Modes and causes that are not named were looked for and are not there.

    queue: how the job came in, which decides how seldom a sound compressor is among such jobs. reported_by: in this
    channel what is not reported says something too; left out, findings that are not reported count for nothing.
    """

    day: Annotated[date, Field(strict=False)]
    machine: JobMachine = JobMachine()
    queue: Queue = "dispatch"
    confirmed_modes: tuple[str, ...]
    confirmed_causes: tuple[str, ...]
    findings: dict[str, ReportState]
    reported_by: Channel | None = None

    @property
    def reports(self) -> tuple[Report, ...]:
        """What was reported."""
        return tuple(Report(key, state) for key, state in self.findings.items())


def read(lines: Iterable[str], name: str, knowledge: Knowledge) -> tuple[ClosedJob, ...]:
    """The jobs of a file, in the order of their days. Raises DataError: file, line, fault of each line at fault."""
    jobs, wrong = [], []
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            job = ClosedJob.model_validate_json(line)
            wrong += [f"{name}: line {number}: {fault}" for fault in _faults(job, knowledge)]
            jobs.append(job)
        except ValidationError as error:
            detail = error.errors(include_url=False)[0]
            wrong.append(f"{name}: line {number}, {'.'.join(map(str, detail['loc'])) or 'whole'}: {detail['msg']}")
    if wrong or not 0 < len(jobs) <= MOST:
        raise data.DataError(wrong or [f"{name}: {len(jobs)} jobs; 1 to {MOST} can be learned from"])
    return tuple(sorted(jobs, key=lambda job: job.day))


def _faults(job: ClosedJob, knowledge: Knowledge) -> Iterator[str]:
    for what, keys, known in (
        ("confirmed_modes", job.confirmed_modes, knowledge.modes),
        ("confirmed_causes", job.confirmed_causes, knowledge.causes),
        ("findings", job.findings, knowledge.findings),
    ):
        yield from (f"{what}: nobody knows {key}" for key in keys if key not in known)
        yield from (f"{what}: {key} stands twice" for key in sorted({k for k in keys if list(keys).count(k) > 1}))
    for key, state in job.findings.items():
        if key in knowledge.findings and state not in (*knowledge.findings[key].states, "unknown"):
            yield f"findings: {key} cannot be {state}"


def one_day_apart(jobs: Sequence[ClosedJob]) -> tuple[tuple[ClosedJob, ...], tuple[ClosedJob, ...]]:
    """The older half and the newer one, for a score that never looks ahead; no day stands in both."""
    middle = jobs[len(jobs) // 2].day
    return tuple(j for j in jobs if j.day < middle), tuple(j for j in jobs if j.day >= middle)
