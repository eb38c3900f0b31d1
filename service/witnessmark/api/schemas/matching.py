"""A job note on the wire and what was read from it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints
from typing_extensions import TypeAliasType

from witnessmark.api.context import Answer, Request
from witnessmark.api.derived import DerivedValue
from witnessmark.api.quantities import Real, Shown, Time, Wire
from witnessmark.api.schemas.diagnosis import MachineFacts
from witnessmark.api.schemas.diagnosis_result import SafetyNote
from witnessmark.api.schemas.field_readings import FieldReadings
from witnessmark.api.schemas.knowledge import FindingId
from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.notes.beside.fact_rows import FactKind
from witnessmark.diagnosis.notes.calling import CallBackReason
from witnessmark.diagnosis.notes.matches import UnknownBecause
from witnessmark.diagnosis.notes.matching import LONGEST

Note = Annotated[str, StringConstraints(max_length=LONGEST)]
SCORE = (
    "How often such a match is right on constructed notes of writers held out, 0 to 1; where a number or a rule of "
    "danger made it, how well the wording fits. In the field it may be right less often."
)
Score = Annotated[Real, Field(ge=0, le=1, description=SCORE)]
MatchVerdict = TypeAliasType(
    "MatchVerdict", Literal["something matched", "only candidates below the threshold", "nothing matched"]
)


class MatchRequest(Request):
    """A job note in plain words."""

    text: Note = Field(examples=["shell ice cold, knocking, breaker held"])
    """Job note, shorthand and spelling mistakes included, English or Spanish."""
    machine: MachineFacts = Field(MachineFacts(), description="What is known of the machine beside the note.")
    """A finding that such a machine cannot have is a candidate that says so."""


class WordsAt(Shown):
    """Words of the note and where they stand, counted in Unicode characters."""

    text: Note = Field(description="The words.")
    start: Annotated[int, Field(ge=0, le=LONGEST, description="The first character.")]
    end: Annotated[int, Field(ge=0, le=LONGEST, description="One past the last character.")]


class NumberRead(Wire):
    """A number of the note that belongs to a reading, with the unit it was written in taken into account."""

    reading: str = Field(description="What it is a reading of.")
    value: DerivedValue = Field(description="The number.")


class MatchedFinding(Shown):
    """A finding, or a normal (a good condition), as the note reports it."""

    finding: FindingId
    text: str = Field(description="The finding in this state, in words.")
    state: ReportState = Field(description="`unknown`: doubtful, or nobody looked; not the same as `absent`.")
    score: Score
    words: list[WordsAt] = Field(description="What it rests on.")
    negation: list[WordsAt] = Field(description="Words that deny it.")
    doubt: list[WordsAt] = Field(description="Words that make it doubtful or say that nobody looked.")
    unknown_because: UnknownBecause | None = None
    """Why the state is unknown, where it is. `history`: was so once; `other machine`: told of another unit, circuit or
    compressor; `advice or condition`: a norm, a plan, an order or an `if`; `unclear`: of which machine stays open."""
    set_aside: str = ""
    """Why the machine that was given cannot have this finding; empty where it can."""
    number: NumberRead | None = Field(None, description="The number behind it, where the note has one.")


class NoteLanguage(Shown):
    """The language of the note, by its little words."""

    name: str
    """English, Spanish, German, French, Portuguese, Italian, Dutch; `not certain` where there are too few words to
    tell, `another` where the letters are not Latin."""
    read: bool
    """Whether findings are read from this language. If not, only words of danger are heard."""


class CallBackCall(Shown):
    """The note sounds like danger to people, and none was understood: ring whoever wrote it."""

    reason: CallBackReason = Field(description="Why a person should ring.")
    words: list[WordsAt] = Field(description="What sounds like danger.")


class NoteFact(Wire):
    """A plain fact of the note that is no finding."""

    kind: FactKind
    """What it is about. Values of `compressor`, `construction`, `phases` and `drive` are those of a diagnosis."""
    value: str
    """In one word: a designation, `scroll`, an urgency (`people`, `medical`, `food`, `comfort`, `process`), who speaks
    (`caller`, `technician`, `operator`), an alarm word. Empty where it is an amount of time."""
    time: Time | None = Field(None, description="Age, running hours, or how long ago it was replaced.")
    words: WordsAt = Field(description="The words of the note.")


class MatchResult(Wire):
    """What was read from the note."""

    safety: list[SafetyNote]
    """Safety rules that the note fires, whatever the scores are; danger to people first."""
    call_back: CallBackCall | None = None
    """Set where alarm words were heard and no danger was understood: a person should ring back before anything else."""
    ask_again: str = Field("", description="Why to ask the writer again: nothing was understood. Empty where it was.")
    language: NoteLanguage
    facts: list[NoteFact] = Field(description="Refrigerant, machine, age, urgency and who speaks, as the note says.")
    readings: FieldReadings
    """Readings of the note of which quantity, unit and time are certain, as `readings` of a diagnosis takes them."""
    matches: list[MatchedFinding] = Field(description="Findings with a score of at least `threshold`.")
    contradictory: list[FindingId]
    """Findings that the note reports in more than one state: ask before using either."""
    candidates: list[MatchedFinding] = Field(description="Heard, but below the threshold: ask, do not use.")
    unmatched: list[WordsAt] = Field(description="Sentences that gave no match.")
    threshold: Score
    verdict: MatchVerdict = Field(description="Whether anything can be used.")


class MatchAnswer(Answer):
    """Answer of POST /v1/findings/match."""

    result: MatchResult = Field(description="The findings, and what was left over.")
