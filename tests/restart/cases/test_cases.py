"""The gate on 100 cases written without sight of it, and on what is made from the good ones.

Wilson intervals (Wilson 1927, 95 %) stand in the text of a failure; the shares themselves are asserted. The sealed part
(16 good, 24 bad) is counted only: no rule, limit or word of the adapter was chosen by looking into it.
"""

from __future__ import annotations

import hashlib
import math
from dataclasses import replace
from functools import cache
from typing import Any

import pytest
from tests.restart.cases.adapter import HERE, load, request
from tests.restart.cases.variants import SPOILERS, contradicted, removed

from witnessmark.api.context import RequestContext
from witnessmark.api.routes.restart import judged
from witnessmark.api.routes.restart_reading import read_gate
from witnessmark.api.schemas.restart import RestartRequest
from witnessmark.restart.gate import TABLE, GateInput, GateResult, checks, gate

MAY = "a licensed technician may start, watching the listed readings"


def result(body: dict[str, Any]) -> GateResult:
    """The gate's result, by the way that a request takes."""
    parsed = RestartRequest.model_validate(body)
    return judged(RequestContext.of(parsed), parsed)[0]


@cache
def opened(name: str) -> dict[str, bool]:
    """Case -> whether the gate opened for it."""
    return {case["id"]: result(request(case["facts"])).verdict == MAY for case in load(name)}


def sealed(name: str, *, part: bool) -> list[bool]:
    """Whether the gate opened, over the sealed or the open part of a file."""
    return [opened(name)[case["id"]] for case in load(name) if case["sealed"] is part]


def wilson(hits: int, total: int) -> tuple[float, float]:
    """95 % interval of a share."""
    z, share = 1.96, hits / total
    middle, reach = share + z * z / (2 * total), z * math.sqrt(share * (1 - share) / total + z * z / (4 * total**2))
    return tuple((middle + sign * reach) / (1 + z * z / total) for sign in (-1, 1))  # type: ignore[return-value]


def test_the_files_are_the_ones_that_were_sealed() -> None:
    for line in (HERE / "SEALED.sha256").read_text("utf-8").splitlines():
        digest, name = line.split()
        assert hashlib.sha256((HERE / name).read_bytes()).hexdigest() == digest


COUNTS = {"good": {False: 24, True: 16}, "bad": {False: 36, True: 24}}


def test_it_opens_for_nine_of_ten_good_ones() -> None:
    told, hidden = (sealed("good", part=part) for part in (False, True))
    assert {False: len(told), True: len(hidden)} == COUNTS["good"]
    assert sum(told) >= 0.9 * len(told), wilson(sum(told), len(told))
    assert sum(told + hidden) >= 0.9 * len(told + hidden), wilson(sum(hidden), len(hidden))


@pytest.mark.parametrize("part", [False, True])
def test_it_opens_for_no_bad_one(part: bool) -> None:  # noqa: FBT001
    hits = sealed("bad", part=part)
    assert len(hits) == COUNTS["bad"][part]
    assert not any(hits), wilson(sum(hits), len(hits))


def test_no_maker_s_limit_was_needed() -> None:
    for case in load("good") + load("bad"):
        assert request(case["facts"]).keys() <= {"machine", "stated", "tests", "measured", "after_run"}


@cache
def good() -> tuple[tuple[dict[str, Any], GateInput, GateResult], ...]:
    """The requests for which it opens, what the gate knows of each, and its results."""
    bodies = [request(case["facts"]) for case in load("good")]
    known = [read(body) for body in bodies]
    rows = [(body, k, gate(k)) for body, k in zip(bodies, known, strict=True) if result(body).verdict == MAY]
    return tuple(rows)


def read(body: dict[str, Any]) -> GateInput:
    """What the gate knows by a request."""
    parsed = RestartRequest.model_validate(body)
    return read_gate(RequestContext.of(parsed), parsed)


def required(answer: GateResult) -> list[str]:
    """The checks that this machine requires."""
    return [c.check for c in answer.checks if c.required_by]


def without(known: GateInput, check: str) -> GateInput:
    """The same without all that speaks for the check."""
    return replace(
        known,
        stated={c: o for c, o in known.stated.items() if c != check},
        evidence={c: e for c, e in known.evidence.items() if c != check},
        measured={m: v for m, v in known.measured.items() if m not in TABLE().checks[check].measures},
    )


def test_every_removed_check_is_named_and_keeps_it_shut() -> None:
    tried = 0
    for body, known, answer in good():
        for k, check in enumerate(required(answer)):
            shut = result(removed(body, check)) if (tried + k) % 5 == 0 else gate(without(known, check))
            state = next(c.state for c in shut.checks if c.check == check)
            assert (shut.verdict, state, check in shut.blocking) == ("do not start", "missing", True), check
        tried += len(required(answer))
    assert tried >= 600


def test_every_failed_check_keeps_it_shut() -> None:
    tried = 0
    for _, known, answer in good():
        for check in required(answer):
            shut = gate(replace(known, stated={**known.stated, check: "failed"}))
            assert (shut.verdict, shut.blocking) == ("do not start", (check,))
            tried += 1
    assert tried >= 600


def test_every_contradiction_keeps_it_shut() -> None:
    tried = dict.fromkeys(SPOILERS, 0)
    for k, (body, _, _) in enumerate(good()):
        for name, check, changed in contradicted(body):
            if k % 2 and tried[name]:
                continue  # every second case tries all, the others what none could try before
            shut = result(changed)
            assert (shut.verdict, check in shut.blocking) == ("do not start", True), (name, shut.blocking)
            tried[name] += 1
    assert min(tried.values()) > 0, tried
    assert sum(tried.values()) >= 400


def test_a_claim_alone_opens_nothing() -> None:
    for _, known, _ in good():
        for check in ("insulation", "windings", "supply", "vacuum", "pressure-test-high", "pressure-test-low"):
            claimed = replace(without(known, check), stated={**known.stated, check: "passed"})
            assert gate(claimed).blocking == (check,)


def test_baselines() -> None:
    """A gate that is always shut serves none of 40, one that is always open hurts 60 of 60, and claims open nothing."""
    assert sum(opened("good").values()) > 0
    assert (sum(opened("bad").values()), len(opened("bad"))) == (0, 60)
    for _, known, _ in good():
        claimed = gate(GateInput(known.machine, dict.fromkeys(set(checks()) - {"mode-lock-released"}, "passed")))
        assert claimed.verdict != MAY
