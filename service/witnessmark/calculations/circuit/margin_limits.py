"""Which limits of superheat and subcooling hold for a machine: by place, compressor, application, feed, refrigerant.

Temperatures and their differences in K. Source: each row of the data names its own.

>>> [band.low for band in limits_for("suction", MarginMachine("scroll", "air-conditioning", "electronic-valve"))]
[5.0]
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.calculations.metrology.limits import Limit, Ruling, StatedLimit
from witnessmark.calculations.metrology.makers import MakerWord, weigh
from witnessmark.errors import UnknownNameError
from witnessmark.reference import SourceId
from witnessmark.reference.library import Text
from witnessmark.vocabulary import Application, Compressor, words

SuperheatPlace = TypeAliasType("SuperheatPlace", Literal["suction", "discharge", "sump"])
"""Where superheat was read: it chooses the limits."""
MeteringDevice = TypeAliasType(
    "MeteringDevice", Literal["thermostatic-valve", "electronic-valve", "fixed-orifice", "capillary", "float"]
)
"""What feeds the evaporator; `float`: a flooded evaporator."""
Fact = Literal["compressor", "application", "metering", "refrigerant"]
FACTS: tuple[Fact, ...] = ("compressor", "application", "metering")
"""What a caller may say of the machine."""


class Band(data.Row):
    """Limits of a margin, K, and the machines they are stated for; `high` is None where only a minimum is known.

    needs: it may hold only where these facts are known. alone: where these are and it may hold, no other band does that
    is not so. surely: above it is too much beside limits without an upper end: `high`, or the greatest of the place
    where what it names is not known.
    """

    low: Annotated[float, Field(ge=0)]
    high: float | None = None
    source: SourceId
    compressors: tuple[Compressor, ...] = ()
    applications: tuple[Application, ...] = ()
    metering: tuple[MeteringDevice, ...] = ()
    refrigerants: tuple[str, ...] = ()
    needs: tuple[Fact, ...] = ()
    alone: tuple[Fact, ...] = ()
    surely: float | None = None

    @model_validator(mode="after")
    def _is_a_band(self) -> Self:
        if self.high is not None and not self.low < self.high:
            raise ValueError("a band needs low < high")
        return self


class Beyond(data.Row):
    """How far beyond the far end of evaporation a reading may lie, K, before it contradicts the pressure.

    gas: of a line that should carry gas, where nothing but the two readings is asked about.
    """

    far_end: Annotated[float, Field(gt=0)]
    gas: Annotated[float, Field(gt=0)]
    source: SourceId


class Hottest(data.Row):
    """Temperature, K, above which no discharge line is good, and the machines it is stated for (no list: every one).

    special: it replaces the general ones where all that it names is known; where that is not known both may hold.
    """

    temperature: Annotated[float, Field(gt=0)]
    source: SourceId
    refrigerants: tuple[str, ...] = ()
    compressors: tuple[Compressor, ...] = ()
    special: bool = False


class Bands(data.Row):
    """The limits by place, and the likely reasons where two readings contradict each other, or the line is too hot.

    hottest: of the discharge line, hottest_sump: of the oil; far_hottest: K, above which no limit of a maker counts.
    """

    suction: tuple[Band, ...]
    discharge: tuple[Band, ...]
    sump: tuple[Band, ...]
    liquid: tuple[Band, ...]
    beyond: Beyond
    hottest: tuple[Hottest, ...]
    hottest_sump: tuple[Hottest, ...]
    far_hottest: float
    reasons: dict[str, tuple[Text, ...]]


@dataclass(frozen=True, slots=True)
class MarginMachine:
    """What decides which limits hold; None is not known. maker: low and high (None if none) of the maker, K.

    maker_document: where the maker states them.
    """

    compressor: Compressor | None = None
    application: Application | None = None
    metering: MeteringDevice | None = None
    maker: tuple[float, float | None] | None = None
    maker_document: str = ""
    refrigerant: str | None = None

    @property
    def told(self) -> bool:
        """Whether all was said of the machine that a caller may say."""
        return self.knows(FACTS)

    def knows(self, facts: tuple[Fact, ...]) -> bool:
        """Whether all these are known."""
        return all(getattr(self, fact) is not None for fact in facts)

    def allowed_by(self, limits: Band) -> bool:
        """Whether these limits may be meant for this machine: nothing that is known speaks against them."""
        return self.knows(limits.needs) and all(_may_be(*fact) for fact in self._beside(limits))

    def certain(self, limits: Band) -> bool:
        """Whether all that these limits name is known of this machine."""
        return all(not named or known is not None for named, known in self._beside(limits))

    def alone(self, limits: Band) -> bool:
        """Whether these limits hold for this machine and no others do."""
        return bool(limits.alone) and self.knows(limits.alone) and self.allowed_by(limits)

    def _beside(self, limits: Band) -> tuple[tuple[tuple[str, ...], str | None], ...]:
        machine = ((limits.compressors, self.compressor), (limits.applications, self.application))
        return (*machine, (limits.metering, self.metering), (limits.refrigerants, self.refrigerant))


def _may_be(named: tuple[str, ...], known: str | None) -> bool:
    return not named or known is None or known in named


HOT = {"discharge": "hot", "sump": "hot-sump"}
"""What is said of a reading too hot, by its place."""
ANY_MACHINE = MarginMachine()
"""Nothing is known of the machine."""
bands = data.table(__package__, "superheat.toml", Bands)


@cache
def _named() -> frozenset[str]:
    """Refrigerants that have limits of their own."""
    return frozenset(
        name for place in (*words(SuperheatPlace), "liquid") for row in _rows(place) for name in row.refrigerants
    )


def of_refrigerant(machine: MarginMachine, designation: str) -> MarginMachine:
    """The machine with its refrigerant, where that has limits of its own.

    >>> of_refrigerant(ANY_MACHINE, "R-717").refrigerant, of_refrigerant(ANY_MACHINE, "R-22").refrigerant
    ('R-717', None)
    """
    return replace(machine, refrigerant=designation) if designation in _named() else machine


def _rows(place: str) -> tuple[Band, ...]:
    rows: tuple[Band, ...] = getattr(bands(), place)
    return rows


@lru_cache(4096)
def limits_for(place: str, machine: MarginMachine = ANY_MACHINE) -> tuple[Band, ...]:
    """The limits at `place` (or "liquid") that may hold for this machine; none where none is stated for such a one.

    Errors: UnknownNameError (field "place").

    >>> [band.low for band in limits_for("suction", MarginMachine("scroll", "air-conditioning", "electronic-valve"))]
    [5.0]
    """
    if place not in (*words(SuperheatPlace), "liquid"):
        raise UnknownNameError("place", "place", words(SuperheatPlace))
    published = _published(place, machine)
    if machine.maker is None or not all(word.counts for word in maker_words(place, machine)):
        return published
    highs = [row.high for row in published if row.high is not None]
    high = machine.maker[1] if machine.maker[1] is not None else max(highs, default=None)
    return (Band(low=machine.maker[0], high=high, source="maker-limit"),)


def _published(place: str, machine: MarginMachine) -> tuple[Band, ...]:
    rows = _rows(place)
    alone = tuple(row for row in rows if machine.alone(row))
    held = alone or tuple(row for row in rows if machine.allowed_by(row))
    most = max((row.high for row in rows if row.high is not None), default=None)
    if all(row.high is None for row in held):  # naming a valve takes the limit of other devices away, not every limit
        held = tuple(row.model_copy(update={"high": most}) for row in held)
    return tuple(
        row if row.high is None else row.model_copy(update={"surely": row.high if machine.certain(row) else most})
        for row in held
    )


def maker_words(place: str, machine: MarginMachine) -> tuple[MakerWord, ...]:
    """What the maker's two limits are worth beside the published ones; none where none were stated.

    A maker who states no upper limit says nothing of too much: the loosest published one stands then.
    """
    if machine.maker is None:
        return ()
    (low, high), rows = machine.maker, _published(place, machine)
    words_ = [weigh(low, machine.maker_document, (row.low for row in rows), "higher")]
    if high is not None:
        highs = (row.high for row in rows if row.high is not None)
        words_.append(weigh(high, machine.maker_document, highs, "lower"))
    return tuple(words_)


def hottest(designation: str, machine: MarginMachine = ANY_MACHINE, place: str = "discharge") -> Limit:
    """Temperature, K, above which a discharge line (or the oil in a sump) is not good, whatever its superheat.

    Oil and valves stand it for no long; the maker's upper superheat does not lift it above `far_hottest`.

    >>> round(hottest("R-410A").rule().value, 2), hottest("R-717", MarginMachine("reciprocating")).rule().value
    (380.37, 423.15)
    """
    every = bands().hottest_sump if place == "sump" else bands().hottest
    rows = [row for row in every if not row.refrigerants or designation in row.refrigerants]
    known = [row for row in rows if row.special and machine.compressor in (row.compressors or (machine.compressor,))]
    held = known or [row for row in rows if _may_be(row.compressors, machine.compressor)]
    stated = tuple(StatedLimit(row.temperature, row.source) for row in held)
    return Limit("lower", stated, far=bands().far_hottest)


def hot_ruling(designation: str, saturated: float, machine: MarginMachine, place: str = "discharge") -> Ruling:
    """The same as it counts beside the maker's upper superheat. saturated: dew temperature, K."""
    high = None if machine.maker is None else machine.maker[1]
    return hottest(designation, machine, place).rule(None if high is None else saturated + high, machine.maker_document)


def why_differ(place: str, machine: MarginMachine) -> tuple[str, str]:
    """Keys of what is said where the limits disagree: each of them clearly, or one of them being in question itself.

    >>> why_differ("suction", MarginMachine("scroll")), why_differ("discharge", ANY_MACHINE)
    (('limits-differ', 'perhaps-differ'), ('discharge-differs', 'discharge-differs'))
    """
    if place == "discharge":
        return "discharge-differs", "discharge-differs"
    return ("rules-differ", "at-a-limit") if machine.told else ("limits-differ", "perhaps-differ")
