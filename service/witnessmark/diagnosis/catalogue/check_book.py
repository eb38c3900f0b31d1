"""What the choice of the next checks knows beside the findings, as reviewed data (`knowledge/checks.toml`)."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Self

from pydantic import Field, model_validator

from witnessmark import data
from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_base import Probability, Reviewed, Text
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE, unknown
from witnessmark.diagnosis.catalogue.rows import STATES, CheckRow, Finding, Knowledge
from witnessmark.diagnosis.result import Step

States = dict[str, str]


class Action(CheckRow, Reviewed):
    """A check that is no finding of its own: a search, a weighing, a repair whose effect is watched.

    about: the finding that it belongs to. tells: the cause it tells of. when: findings of which one must have been
    told in this state; unless: of which none may have been. seen: what may come of it, the sign of the cause first.
    found, false_alarm: P(first outcome | cause there), P(first outcome | not there).
    """

    id: str
    about: str
    tells: str
    when: Annotated[States, Field(min_length=1)]
    unless: States = Field(default_factory=dict)
    text: Text
    seen: tuple[Text, Text]
    found: Probability
    false_alarm: Probability
    step: Step

    @model_validator(mode="after")
    def _tells_something(self) -> Self:
        if self.found <= self.false_alarm:
            raise ValueError(f"{self.id}: found must lie above false_alarm")
        return self

    def fits(self, states: Mapping[str, str]) -> bool:
        """Whether what was told calls for it."""
        return any(states.get(key) == state for key, state in self.when.items()) and not any(
            states.get(key) == state for key, state in self.unless.items()
        )


class Order(Reviewed):
    """Factor on a check's worth by its step.

    open_already: of `open` where the compressor stands opened; site_when_opened: of questions and looks on site then.
    other_side: on checks of the side, electrical or circuit, that nothing was found on; either: findings that may come
    from both. remedy: bits that finding or putting right a cause is worth that is at work. follow: worth a minute of
    the usual next look after what was told; follow_later: factor from one to the next of such a list, follow_other:
    from one such list to the next, follow_at_meter: on all but questions while likely nobody is at the machine.
    """

    ask: float
    look: float
    meter: float
    run: float
    gauges: float
    sample: float
    recover: float
    open: float
    repair: float
    open_already: float
    site_when_opened: float
    other_side: float
    remedy: float
    follow: float
    follow_later: float
    follow_other: float
    follow_at_meter: float
    either: frozenset[str]

    def of(self, step: Step) -> float:
        """The factor of a step."""
        return float(getattr(self, step))


class Running(Reviewed):
    """Findings that say whether the machine runs, and those that nobody looks for at one that runs.

    doubtful: factor on these where nothing says whether it runs, and nothing was found at motor, supply or drive.
    """

    stopped: frozenset[str]
    running: frozenset[str]
    senseless_running: frozenset[str]
    doubtful: float


class Known(Reviewed):
    """A finding in a state that makes other checks needless."""

    by: States
    skip: frozenset[str]
    why: Text


class Skipped(Reviewed):
    """Checks that are left out."""

    skip: frozenset[str]


class Phone(Skipped):
    """Who calls. told: findings that are told on the phone; first: what is asked then, of the worth `asked`.

    other: factor on all else.
    """

    told: frozenset[str]
    first: frozenset[str]
    asked: float
    other: float


class Danger(Reviewed):
    """What is asked before all else where one of these dangers was told."""

    told: frozenset[str]
    ask: tuple[str, ...]


class Follow(Reviewed):
    """What is usually looked at next, in this order, once one of these was told; the first row that fits says most.

    also: what must all be told beside it. opened: only at an opened compressor, or only at one that is not; None says
    nothing.
    """

    told: States
    also: States = Field(default_factory=dict)
    next: tuple[str, ...]
    opened: bool | None = None

    def fits(self, states: Mapping[str, str], *, opened: bool) -> bool:
        """Whether what was told calls for it."""
        beside = all(states.get(key) == state for key, state in self.also.items())
        told = any(states.get(key) == state for key, state in self.told.items())
        return self.opened in (None, opened) and beside and told


class Read(Reviewed):
    """A reading that was taken, by the name of its field, makes these checks needless: they would take it again."""

    field: str
    skip: frozenset[str]


class Need(Reviewed):
    """Checks that the repair of a settled mode or of a cause that was found needs."""

    modes: frozenset[str] = frozenset()
    causes: frozenset[str] = frozenset()
    checks: tuple[str, ...]


class CheckBook(Row):
    """All of it."""

    order: Order
    state: Running
    known: tuple[Known, ...]
    opened: Skipped
    phone: Phone
    danger: tuple[Danger, ...]
    need: tuple[Need, ...]
    follow: tuple[Follow, ...]
    read: tuple[Read, ...]
    action: tuple[Action, ...]


check_book = data.table(PACKAGE, f"{FOLDER}/checks.toml", CheckBook)
"""The shipped rows: `check_book().order.gauges`."""


def dangling(book: CheckBook, known: Knowledge) -> Iterator[str]:
    """What rows name that nobody knows, one sentence each."""
    state = book.state
    for keys in (
        book.order.either,
        state.stopped,
        state.running,
        state.senseless_running,
        book.opened.skip,
        book.phone.skip,
        book.phone.told,
        book.phone.first,
        *(key for row in book.danger for key in (row.told, row.ask)),
    ):
        yield from unknown("checks", keys, known.findings)
    for row in book.known:
        yield from _states("checks", row.by, known)
        yield from unknown("checks", row.skip, known.findings)
    for follow in book.follow:
        yield from _states("checks", follow.told, known)
        yield from _states("checks", follow.also, known)
        yield from unknown("checks", follow.next, {*known.findings, *(action.id for action in book.action)})
    for read in book.read:
        yield from unknown("checks", read.skip, known.findings)
    for need in book.need:
        yield from unknown("checks", need.modes, known.modes)
        yield from unknown("checks", need.causes, known.causes)
        yield from unknown("checks", need.checks, known.findings)
    for action in book.action:
        yield from unknown(action.id, [action.about], known.findings)
        yield from unknown(action.id, [action.tells], known.causes)
        yield from _states(action.id, {**action.when}, known)
        yield from _states(action.id, {**action.unless}, known)


def _states(where: str, told: Mapping[str, str], known: Knowledge) -> Iterator[str]:
    yield from unknown(where, told, known.findings)
    for key, state in told.items():
        if key in known.findings and state not in STATES[known.findings[key].kind]:
            yield f"{where}: {key} cannot be {state}"


_METERS, _CONSUMABLES, _RECOVERY = 1, 2, 3
"""Relative cost of a check from which it takes meters, consumables, recovery or a laboratory."""


def step_of(finding: Finding, check: CheckRow) -> Step:
    """Where a check stands in the usual order: as its row says, else by what it needs."""
    if check.step:
        return check.step
    if "compressor-removed" in check.needs:
        return "open"
    if check.opens_circuit or "circuit-open" in check.needs or check.cost >= _RECOVERY:
        return "recover"
    return _by_tools(check) or ("ask" if finding.stage == "history" else "look")


def _by_tools(check: CheckRow) -> Step | None:
    """By what it takes; None where eyes, ears and questions do."""
    if any("gauges" in tool for tool in check.tools):
        return "gauges"
    if check.energised or ("compressor-runs" in check.needs and check.cost >= _METERS):
        return "run"
    if check.cost < _METERS:
        return None
    return "meter" if check.cost < _CONSUMABLES else "sample"
