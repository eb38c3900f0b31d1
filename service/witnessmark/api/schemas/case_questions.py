"""The next questions of a partial case, each with what a form needs to ask it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypeAliasType

from witnessmark.api.context import Answer
from witnessmark.api.quantities import Shown, Wire
from witnessmark.api.schemas.case import OpenQuestion
from witnessmark.api.schemas.case_document import CaseDocument
from witnessmark.language.catalogue import Language

MOST_ASKED = 50
AnswerKind = TypeAliasType(
    "AnswerKind", Literal["text", "choice", "yes-no", "number", "quantity", "moment", "list", "group"]
)
"""What kind of answer a field takes: a line, one of `choices`, yes or no, a number, a quantity, a moment, more."""


class QuestionsRequest(Wire):
    """A partial case."""

    case: CaseDocument = Field(description="Everything known of the job.")
    most: Annotated[int, Field(ge=1, le=MOST_ASKED)] = Field(5, description="How many questions at most.")
    language: Language | None = Field(
        None, description="Language of the words of the answer; left out, the header `Accept-Language` decides."
    )


class AnswerChoice(Shown):
    """One choice of an answer."""

    value: str | bool | int = Field(description="What goes into the case.")
    label: str = Field(description="What a person reads.")


class AnswerForm(Shown):
    """What kind of answer something takes."""

    answer: AnswerKind = Field(description="What kind of answer it takes.")
    choices: list[AnswerChoice] = Field(description="The choices, where the list is closed; else empty.")
    units: list[AnswerChoice] = Field(description="Units of a quantity that it takes; else empty.")


class AskedTogether(AnswerForm):
    """A field of a group that is told as a whole or not at all."""

    field: str = Field(description="Dotted name below `field` of the question; a number counts entries of a list.")
    label: str = Field(description="What a person reads.")
    needed: bool = Field(description="Whether the group is not taken without it.")
    preset: str | None = Field(description="What goes there without being asked; null where it is asked.")


class AskedQuestion(OpenQuestion, AnswerForm):
    """A question, and what kind of answer it takes."""

    together: list[AskedTogether] = Field(default_factory=list)
    """Where `field` is a group or a list of which nothing is known yet: what it must hold, asked together; else empty.
    A list may hold more entries than are asked for."""


class QuestionsResult(Shown):
    """The next questions."""

    questions: list[AskedQuestion] = Field(description="In the order worth asking.")
    left: int = Field(description="How many more are open.")
    language: str = Field("en", description="Language of the words (BCP 47); ids stay as they are.")
    translation: str = ""
    """What is to be known of the translation, in that language: whether a native technician has read it. Empty in
    English. Show it wherever the words are shown."""


class QuestionsAnswer(Answer):
    """Answer of POST /v1/cases/questions."""

    result: QuestionsResult = Field(description="The next questions.")
