"""What the results of a case order by themselves: a machine that must stop, readings after the repair, bad verdicts.

An order is a line of the headline and a step. It needs no finding: it is what a part of the case came to.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from witnessmark import data
from witnessmark.casework.document import at
from witnessmark.diagnosis.notes.telling import is_danger
from witnessmark.diagnosis.result import VerdictState

Result = Mapping[str, Any]
Results = Mapping[str, Result]
STOPPED = "stop and find out"
"""The verdict of a run after the start that must end."""
OFF = frozenset({"energise", "start"})
"""What a safety rule forbids that says itself that the machine stays off."""
OPENED = "compressor-removed"
"""What a check needs that is made at an opened compressor."""
AFTER = "after_repair"
"""Where in `Results` stand the verdicts on the readings after the repair: `diagnosis`, `compression`."""
_UNSETTLED = ("diagnosed", "leading-candidates", "contradictory-evidence", "does-not-fit")
GOOD = (
    "After the repair it runs, and nothing that was read then speaks for stopping it: write these readings down, watch "
    "it for the hours and days that the job asks for, and close the job."
)

UNPROVED = (
    "After the repair it runs, but what has to be proved before a start stands open, and readings in order do not take "
    "its place: stop it and settle what stands open before it goes on. The job is not closed."
)
"""The same where a check of the gate, fragments or a bad sample speak against it."""
RUNNING: dict[bool, str] = {False: GOOD, True: UNPROVED}


class VerdictRow(data.Row):
    """What some verdicts of a part order."""

    part: str
    verdicts: tuple[str, ...]
    text: str
    cautions: tuple[str, ...]
    lead: bool = False
    of_the_compressor: bool = False


class VerdictTable(data.Row):
    """The data file."""

    row: tuple[VerdictRow, ...]


TABLE = data.table(__package__, "verdicts.toml", VerdictTable)


@dataclass(frozen=True, slots=True)
class Order:
    """line: for the headline. urgent: before every other step but danger to people; lead: before a further look."""

    part: str
    line: str
    text: str
    cautions: tuple[str, ...] = ()
    urgent: bool = False
    lead: bool = True


def orders(done: Results, *, repaired: bool, made_safe: bool = False) -> tuple[Order, ...]:
    """The orders of these results, the most urgent first.

    repaired: the failed compressor is open or out. made_safe: somebody said that danger to people is over.
    """
    stop = () if repaired or good_after(done) else _stop(done, made_safe=made_safe)
    found = (*_run(done), *_after(done), *stop, *_bad(done, repaired))
    return tuple(sorted(found, key=lambda order: (not order.urgent, not order.lead)))


def lost(done: Results, case: Result) -> bool:
    """Whether the compressor is known to have failed: by the case, or because the findings ask for another one."""
    known = case.get("compressor_fate") == "known-failed"
    return known or any(part["when"] == "order" for part in _compressors(done))


def suspected(done: Results) -> bool:
    """Whether a mode is established that may have cost the compressor: another one is among what its repair takes."""
    return at(done, "diagnosis.verdict.state") == DIAGNOSED and bool(_compressors(done))


SURE = 0.9
"""Causes that are so likely to be present count as found."""


def sure_causes(done: Results) -> list[Result]:
    """Causes in the system that are as good as certain, the first that is likeliest at work."""
    return [cause for cause in at(done, "diagnosis.causes") or () if cause["probability"] >= SURE]


def _compressors(done: Results) -> list[Result]:
    return [part for part in at(done, "diagnosis.dispatch.parts") or () if part["id"] == "compressor"]


DIAGNOSED: VerdictState = "diagnosed"


def good_after(done: Results) -> bool:
    """Whether the machine was read after the repair, ran, and showed nothing that speaks for stopping it."""
    read = at(done, f"{AFTER}.diagnosis")
    if read is None or read["operation"]["advice"] != "keep-running":
        return False
    pumping = at(done, f"{AFTER}.compression.verdict")
    return pumping in (None, "pumping") and read["verdict"]["state"] not in _UNSETTLED


def unproved(
    done: Results, ordered: Collection[Order] = (), failed: Collection[str] = (), *, owed: bool = False
) -> bool:
    """Whether a machine that runs in order was never proved fit to start.

    A shut gate, one that could not be judged, a broken part or loose pieces that no gate let pass, and whatever a
    verdict orders. failed: parts that could not be worked out. owed: the repair asks for a gate, be one told of or not.
    """
    if any(order.lead or order.urgent for order in ordered) or "restart" in failed:
        return True
    if (gate := done.get("restart")) is not None:
        return bool(gate["blocking"])
    return owed or "debris" in done or "debris" in failed or at(done, "cleanup.severity.solids") == "fragments"


def _run(done: Results) -> Iterator[Order]:
    """A run after the start that must end; another verdict on it stands in the headline alone."""
    run = at(done, "restart.after_run")
    if run is None:
        return
    if run["verdict"] != STOPPED:
        text = f"Run after the start: {run['verdict']}."
        yield Order("restart", text, text, lead=False)
        return
    odd = [reading["item"] for reading in run["outside"]] + [p for s in run["stages"] for p in s["failed_proofs"]]
    told = ", ".join(dict.fromkeys(name.replace("_", " ") for name in odd))
    text = f"Stop the machine, lock it out and find out why{f': {told}' if told else ''}."
    yield Order("restart", text, text, ("lock-out", "hot-parts"), urgent=True)


def _after(done: Results) -> Iterator[Order]:
    """What the readings after the repair come to."""
    read = at(done, f"{AFTER}.diagnosis")
    if read is None or good_after(done):
        return
    stop = read["operation"]["advice"] == "stop"
    pumping = at(done, f"{AFTER}.compression.verdict")
    told = read["operation"]["reason"] if stop else read["verdict"]["text"]
    weak = f" Does the compressor pump: {pumping}." if pumping in ("weak", "not pumping") else ""
    if stop or weak or read["verdict"]["state"] in _UNSETTLED:
        text = f"After the repair: {told}{weak}"
        yield Order("diagnosis", text, text, ("lock-out",), urgent=True)


RELEASES = "refrigerant-release"
"""The caution of what lets refrigerant or oil out of a circuit."""


def to_look_at(done: Results, *, made_safe: bool, closed: bool = False) -> Result | None:
    """The first of the next checks that is made at a compressor as it stands: none for which it is cut open.

    made_safe: danger to people is over, and nobody asks after it once more. closed: no circuit is opened for it either.
    """
    shut_out = {OPENED, "circuit-open"} if closed else {OPENED}
    for check in at(done, "diagnosis.next_checks.checks") or ():
        released = closed and RELEASES in check.get("cautions", ())
        opens = not shut_out.isdisjoint(check.get("needs", ())) or (closed and check.get("opens_circuit")) or released
        if not opens and not (made_safe and is_danger(check.get("finding", ""))):
            return check  # type: ignore[no-any-return] # results are plain JSON
    return None


def _stop(done: Results, *, made_safe: bool) -> Iterator[Order]:
    """A machine that must stay off by what was found."""
    if at(done, "diagnosis.operation.advice") != "stop":
        return
    reason = done["diagnosis"]["operation"]["reason"]
    check = to_look_at(done, made_safe=made_safe) or {"text": "", "cautions": []}
    text = f"{reason} {check['text']}".rstrip()
    ruled = any(OFF & set(notice.get("forbids", ())) for notice in at(done, "diagnosis.safety") or ())
    yield Order("diagnosis", reason, text, ("lock-out", *check["cautions"]), urgent=not ruled)


def _bad(done: Results, repaired: bool) -> Iterator[Order]:  # noqa: FBT001 - of one caller
    """Verdicts that stop a job or send it back."""
    for row in TABLE().row:
        verdict = at(done, f"{row.part}.verdict")
        if verdict in row.verdicts and not (row.of_the_compressor and repaired):
            line = f"{row.part.capitalize()}: {verdict}."
            yield Order(row.part, line, row.text, row.cautions, lead=row.lead)
