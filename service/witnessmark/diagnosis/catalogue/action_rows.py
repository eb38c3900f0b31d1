"""Rows about what to do: safety rules, pairs to measure again, and what to send for one mode or cause."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal, Self

from pydantic import AliasChoices, BeforeValidator, Field, model_validator
from typing_extensions import TypeAliasType

from witnessmark.data import Row
from witnessmark.diagnosis.catalogue.row_base import ALL_MACHINES, Applies, CautionId, Probability, Reviewed, Text
from witnessmark.vocabulary import Phases

Fluid = TypeAliasType(
    "Fluid", Literal["flammable", "not-known", "flammable-or-not-known", "toxic", "burns-fast", "burns-slowly"]
)
"""What a row asks of the refrigerant: that it is known to burn, that nobody said which it is, or either; that it is
toxic; that it is not toxic and burns fast (classes 2 and 3) or slowly (class 2L)."""

Ids = tuple[Text, ...]


class ModeAtLeast(Row):
    """A condition of a safety rule: the findings speak for a mode, by decibans, and it has reached a probability.

    Both together: a prior alone never fires a rule, nor does a hint at something that stays improbable.
    """

    mode: str
    at_least: Probability
    evidence: Annotated[float, Field(gt=0)]


class Trigger(Row):
    """What fires a safety rule: any of `any_of`, or all of `all_of`, are reported, or findings speak for the mode.

    unless: findings of `any_of` that fire nothing beside one of these, which tells that they mean something else.
    """

    any_of: tuple[str, ...] = ()
    all_of: tuple[str, ...] = ()
    unless: Mapping[str, tuple[str, ...]] = Field(default_factory=dict)
    mode: ModeAtLeast | None = None

    @model_validator(mode="after")
    def _fires_on_something(self) -> Self:
        if not (self.any_of or self.all_of or self.mode):
            raise ValueError("fires on nothing")
        return self


class Crew(Reviewed):
    """Who is sent with what: ids of `triage.toml`."""

    persons: Annotated[int, Field(ge=1, le=4)] = 1
    skills: Ids = ()
    tools: Ids = ()


class SafetyRule(Crew):
    """What is forbidden when its condition is met. Never out-voted.

    for_caller: what is told on the phone; for_caller_running: the same where it runs, for_caller_in_gas: where gas may
    be in the air, if it is another. fluid: only with such a refrigerant. persons, skills,
    tools: of whoever is sent, beside what the work itself needs.
    """

    id: str
    text: str
    cautions: tuple[CautionId, ...]
    forbids: tuple[str, ...]
    when: Trigger
    applies: Applies = ALL_MACHINES
    for_caller: tuple[Text, ...] = ()
    for_caller_running: tuple[Text, ...] = ()
    for_caller_in_gas: tuple[Text, ...] = ()
    fluid: Fluid | None = None


class ConflictPair(Reviewed):
    """Two findings that cannot both be so, and what to measure again.

    look: findings that are looked for first where neither can be measured again with safety. unproved: the one of the
    two that is neither evidence nor a reason to act while the other was read by numbers (`by`: or told).
    """

    a: str
    a_state: str
    b: str
    b_state: str
    why: str
    ask: str
    look: tuple[str, ...] = ()
    unproved: str = ""
    by: Literal["reading", "any"] = "reading"

    @property
    def other(self) -> str:
        """The one that is believed where `unproved` is not."""
        return self.b if self.unproved == self.a else self.a

    def fits(self, states: Mapping[str, str]) -> bool:
        """Whether both were told or read so."""
        return states.get(self.a) == self.a_state and states.get(self.b) == self.b_state


class Step(Row):
    """One thing to do, with what it hangs on.

    unless: left out where one of these findings was reported in this state. when: left out where none was. fluid: only
    with such a refrigerant. while: only where nothing says that the machine must stop. phases: only at such machines.
    in_air: not where water cools the condenser. cools_air: not where water or brine is cooled.
    """

    text: Text
    unless: Mapping[str, str] = Field(default_factory=dict)
    when: Mapping[str, str] = Field(default_factory=dict)
    fluid: Fluid | None = None
    only: Annotated[Literal["may-run"] | None, Field(alias="while")] = None
    phases: Phases | None = None
    in_air: bool = False
    cools_air: bool = False


def _step(value: object) -> object:
    return {"text": value} if isinstance(value, str) else value


Steps = tuple[Annotated[Step, BeforeValidator(_step)], ...]
"""Plain words are a step that hangs on nothing."""


class Advice(Crew):
    """What to send and do for one mode or cause; skills, tools and parts are ids of `triage.toml`.

    run: what a running machine should do when this is what it has. minutes: on site, the first visit. survived: a sound
    compressor lives through it for a time, so that it alone is no reason to order another. welded: the
    compressor is another one only where its shell is welded; one that is bolted is mended.
    """

    target: str = Field(validation_alias=AliasChoices("mode", "cause"))
    run: Literal["stop", "watch", "keep"]
    persons: Annotated[int, Field(ge=1, le=4)]
    skills: Annotated[Ids, Field(min_length=1)]
    minutes: Annotated[int, Field(ge=15, le=480)]
    tools: Ids
    parts: Ids
    parts_note: str = ""
    survived: bool = False
    welded: bool = False
    for_caller: Steps = ()
    do_now: Steps
    keep_as_evidence: tuple[str, ...]
