"""What is kept of a scoring: read back as written, and one a version."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from pydantic import ValidationError

from tests.evaluation.described.totals import Hits, Rates, Release, Releases, Told, read, write


def release(version: str = "1.2.3") -> Release:
    """A made-up scoring of twenty cases."""
    return Release(
        version=version,
        knowledge="aa",
        decides="bb",
        day=date(2031, 2, 3),
        cases={"all": 20, "published": 5},
        hits=tuple(
            Hits(group=group, who=who, layer=layer, asked=asked, first=first, among_three=three)
            for group, asked in (("all", 12), ("published", 4))
            for who, first, three in (("the answer", 4, 4), ("naive Bayes", 0, 1))
            for layer in ("mode", "cause")
        ),
        told=(
            Told(truth="a compressor fault", verdict="diagnosed", cases=12, stopped=9),
            Told(truth="nothing wrong", verdict="no-compressor-fault-likely", cases=3, stopped=1),
            Told(truth="nothing wrong", verdict="not-enough-evidence", cases=2, stopped=0),
            Told(truth="nothing wrong", verdict="leading-candidates", cases=1, stopped=1),
        ),
        rates=(Rates(group="all", faulty={"correct": 9, "missed": 3}, sound={"correct": 6, "false alarm": 2}),),
    )


def test_read_back_as_written(tmp_path: Path) -> None:
    file = tmp_path / "totals.json"
    assert read(file) == Releases()
    kept = Releases(releases=(release("1"), release("2")))
    write(kept, file)
    assert read(file) == kept


def test_a_version_is_scored_once_and_a_second_time_asks_nothing() -> None:
    kept = Releases().with_new("1", lambda: release("1"))
    assert [one.version for one in kept.with_new("2", lambda: release("2")).releases] == ["1", "2"]

    def never() -> Release:
        pytest.fail("the sealed cases were asked again")

    with pytest.raises(ValueError, match="version 1 was scored once"):
        kept.with_new("1", never)


def test_counts_of_one_who_answers() -> None:
    hit = release().hit("published", "naive Bayes", "cause")
    assert (str(hit.share("first").value), hit.share("among_three").part) == ("0.0", 1)
    with pytest.raises(ValueError, match="unpack"):
        release().hit("all", "nobody", "mode")


def test_nothing_but_counts_can_be_kept() -> None:
    with pytest.raises(ValidationError, match="Extra inputs are not permitted"):
        Hits.model_validate(release().hits[0].model_dump() | {"id": "a case"})
