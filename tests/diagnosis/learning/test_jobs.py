"""Closed jobs as they are handed in: schema, example, and faults by line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.learning.jobs import ClosedJob, one_day_apart, read

DOCS = Path(__file__).parents[3] / "docs"
LINES = (DOCS / "closed-jobs.example.jsonl").read_text("utf-8").splitlines()


def test_the_example_reads() -> None:
    assert len(read([*LINES, ""], "example", knowledge())) == len(LINES)


def test_the_schema_is_that_of_the_jobs() -> None:
    assert json.loads((DOCS / "closed-jobs.schema.json").read_text("utf-8")) == ClosedJob.model_json_schema()


def changed(**fields: object) -> str:
    return json.dumps(json.loads(LINES[0]) | fields)


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ("{", "line 2, whole: Invalid JSON"),
        (changed(confirmed_modes=["overcharge"]), "line 2: confirmed_modes: nobody knows overcharge"),
        (changed(confirmed_modes=["overheating", "overheating"]), "line 2: confirmed_modes: overheating stands twice"),
        (changed(findings={"shaft-seized": "high"}), "line 2: findings: shaft-seized cannot be high"),
        (changed(day="yesterday"), "line 2, day:"),
        (changed(customer="somebody"), "line 2, customer: Extra inputs"),
    ],
)
def test_faults_are_told_by_line(line: str, fault: str) -> None:
    with pytest.raises(DataError) as refused:
        read([LINES[0], line], "jobs.jsonl", knowledge())
    assert fault in str(refused.value)


def test_no_jobs_are_refused() -> None:
    with pytest.raises(DataError, match="0 jobs"):
        read([""], "jobs.jsonl", knowledge())


def test_no_day_stands_in_both_halves() -> None:
    jobs = read([changed(day=f"2026-01-0{day}") for day in (1, 2, 2, 2, 3)], "jobs.jsonl", knowledge())
    older, newer = one_day_apart(jobs)
    assert [job.day.day for job in older] == [1]
    assert [job.day.day for job in newer] == [2, 2, 2, 3]
