"""What a call is worth and what can be sent to it, as reviewed data (`knowledge/triage.toml`)."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.circuit.burst_pressure import BurstSide
from witnessmark.data import Row
from witnessmark.diagnosis.case import Fluid, Machine, Urgency
from witnessmark.diagnosis.catalogue.action_rows import Crew
from witnessmark.diagnosis.catalogue.action_rows import Fluid as FluidAsked
from witnessmark.diagnosis.catalogue.row_base import Reviewed, Text
from witnessmark.diagnosis.catalogue.row_files import FOLDER, PACKAGE, unknown
from witnessmark.diagnosis.catalogue.rows import Knowledge

Stake = TypeAliasType("Stake", Literal["danger-if-powered", "damage", "out-of-action"])
"""What is at stake where a finding is told, the worst first."""
Asked = TypeAliasType("Asked", Literal["urgency", "refrigerant", "gas"])
"""What a question is about that is no finding; gas: asked where nobody may enter before the air was measured."""


class Part(Row):
    """A part in words. to_order: nothing for the van, ordered once a diagnosis stands.

    unless: needless where one of these findings was told or read in this state. in_air: not where water cools the
    condenser, cools_air: nor where water or brine is cooled. single_phase: not at a motor of three phases. bolted: not
    in a welded shell.
    """

    words: Text
    to_order: bool = False
    unless: Mapping[str, str] = Field(default_factory=dict)
    in_air: bool = False
    cools_air: bool = False
    single_phase: bool = False
    bolted: bool = False

    def needless(self, states: Mapping[str, str], machine: Machine, *, on_water: bool) -> bool:
        """Whether what was told leaves no use for it."""
        three = machine.phases == "three-phase" or machine.drive == "inverter"
        if (self.single_phase and three) or (self.bolted and machine.construction == "hermetic"):
            return True
        return (self.in_air and on_water) or any(states.get(key) == state for key, state in self.unless.items())


class Damage(Reviewed):
    """Findings of which each is a compressor worn, broken or burnt, whatever began it."""

    findings: frozenset[str]


class Sign(Reviewed):
    """Findings (present, low or high) that put the same at stake; reason: why, in the middle of a sentence.

    run: whether a running machine is stopped for it, or watched. unless_denied: it puts nothing at stake where all of
    these were denied. unless_dry: nor where numbers show that the gas came in dry and left hot enough; unless_runs: nor
    where the machine is said to run, or was read running. fluid: only with such a refrigerant.
    """

    stake: Stake
    run: Literal["stop", "watch"]
    findings: tuple[str, ...]
    low: tuple[str, ...] = ()
    high: tuple[str, ...] = ()
    unless_denied: tuple[str, ...] = ()
    unless_dry: bool = False
    unless_runs: bool = False
    fluid: FluidAsked | None = None
    reason: Text

    def seen(self, key: str, state: str) -> bool:
        """Whether a finding in this state is such a sign."""
        return key in {"present": self.findings, "low": self.low, "high": self.high}.get(state, ())


class Heard(Row):
    """Words of a note, lower-case, whole: of work that can be planned, and of alarm that name no danger to people.

    trouble: beside work that can be planned, that something goes wrong.
    """

    planned: tuple[str, ...]
    trouble: tuple[str, ...]
    loud: frozenset[str]


class Running(Row):
    """Findings that can be seen at a running machine only, in whatever state.

    unless: with one of these present or high a note shows no machine that may simply run on.
    """

    findings: frozenset[str]
    unless: frozenset[str]


class ExtremeRow(Reviewed):
    """A machine is stopped for a reading of `least` to `most`, SI; over: the field that it is divided by.

    bursting: from where such a refrigerant may burst this side of the circuit, instead of `least`. in_vacuum: below the
    air pressure, where the refrigerant is then colder than this, K, instead of `most`. condensing: from the pressure at
    which it condenses (dew) at this, K, instead of `least`. freezing: below the pressure at which it evaporates (dew)
    at this, K, instead of `most`, of a chiller that cools water. not_told: only where nobody said which refrigerant it
    is.
    danger: it is a danger to people, at a machine that stands too; the finding then fires its rule. finding: what
    stands for it in the answer. except_for: refrigerants, unless_drive: drives of which it is no extreme. reason: why,
    in the middle of a sentence.
    """

    reading: str
    over: str = ""
    finding: str
    least: float = -math.inf
    most: float = math.inf
    bursting: BurstSide | None = None
    in_vacuum: Annotated[float, Field(gt=0)] | None = None
    condensing: Annotated[float, Field(gt=0)] | None = None
    freezing: Annotated[float, Field(gt=0)] | None = None
    not_told: bool = False
    danger: bool = False
    except_for: tuple[str, ...] = ()
    unless_drive: tuple[str, ...] = ()
    reason: Text


class Leak(Reviewed):
    """Findings that a leak shows, and why it is a danger by what the refrigerant is, in the middle of a sentence."""

    findings: tuple[str, ...]
    toxic: Text
    burns: Text


class Question(Row):
    """What to ask the caller. settles: findings of which one, told in any state, makes it needless.

    always: asked whatever is in view; others where something in view shows one of the findings.
    """

    id: str
    words: Text
    settles: tuple[str, ...] = ()
    about: Asked | None = None
    always: bool = False


class Plight(Row):
    """What is said on the phone where people are in a plight of their own, `first` or in its turn.

    instead_of: rules whose words are left out, unless a finding of `unless` was told. saving: so are the words that
    save goods and people. explains: dangers that, heard faintly, are the plight itself. urgency: of such a call where
    it names none that is more urgent.
    """

    for_caller: Text
    instead_of: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    explains: tuple[str, ...] = ()
    first: bool = False
    saving: bool = False
    urgency: Urgency | None = None


class Supposed(Row):
    """A finding that one acts on as if it had been told, where all of `told` were told as present."""

    finding: str
    told: tuple[str, ...]


class Triage(Row):
    """All of it; words by id."""

    running: Running
    heard: Heard
    skill: dict[str, Text]
    tool: dict[str, Text]
    part: dict[str, Part]
    damage: Damage
    sign: tuple[Sign, ...]
    leak: Leak
    plight: dict[str, Plight] = Field(default_factory=dict)
    extreme: tuple[ExtremeRow, ...] = ()
    supposed: tuple[Supposed, ...] = ()
    question: Annotated[tuple[Question, ...], Field(min_length=1)]


triage = data.table(PACKAGE, f"{FOLDER}/triage.toml", Triage)
"""The shipped words and signs: `triage().tool["gauges"]`."""


def has(fluid: Fluid | None, asked: FluidAsked | None) -> bool:
    """Whether the refrigerant is as a row asks for; None asks for nothing."""
    if asked is None:
        return True
    if fluid is None:
        return asked in ("not-known", "flammable-or-not-known")
    burns = fluid.flammable and not fluid.toxic
    special = {"toxic": fluid.toxic, "burns-fast": burns and not fluid.slow, "burns-slowly": burns and fluid.slow}
    return special.get(asked, asked != "not-known" and fluid.flammable)


def signs_of(fluid: Fluid | None) -> Iterator[Sign]:
    """The signs of what is at stake, for such a refrigerant."""
    return (row for row in triage().sign if has(fluid, row.fluid))


def dangling(words: Triage, known: Knowledge) -> Iterator[str]:
    """What rows name that nobody knows, one sentence each."""
    reportable = known.findings.keys() | known.normals.keys()
    for sign in words.sign:
        yield from unknown("triage", (*sign.findings, *sign.low, *sign.high, *sign.unless_denied), known.findings)
    yield from unknown("triage", [row.finding for row in words.extreme], known.findings)
    for both in words.supposed:
        yield from unknown("triage", (both.finding, *both.told), known.findings)
    yield from unknown("triage", (*words.leak.findings, *words.damage.findings), known.findings)
    for part in words.part.values():
        yield from unknown("triage", part.unless, known.findings)
    yield from unknown("triage", (*words.running.findings, *words.running.unless), known.findings)
    for plight in words.plight.values():
        yield from unknown("triage", (*plight.unless, *plight.explains), known.findings)
        yield from unknown("triage", plight.instead_of, {rule.id for rule in known.safety})
    for question in words.question:
        yield from unknown("triage", question.settles, reportable)
    crews: list[tuple[str, Crew]] = [(f"dispatch {row.target}", row) for row in known.advice.values()]
    crews += [(f"safety {row.id}", row) for row in known.safety]
    for where, sent in crews:
        yield from unknown(where, sent.skills, words.skill)
        yield from unknown(where, sent.tools, words.tool)
    for row in known.advice.values():
        where = f"dispatch {row.target}"
        yield from unknown(where, row.parts, words.part)
