"""The words of an answer in another language: only fields that hold sentences; closed words, ids and numbers stay."""

from __future__ import annotations

from typing import Any, TypeVar

from pydantic import BaseModel

from witnessmark.api.context import Answer
from witnessmark.language.catalogue import FIRST, Language, Translate, mark, translator

A = TypeVar("A", bound=Answer)
WORDED = frozenset(
    {
        "text", "solids_text", "title", "what", "why", "act", "note", "name", "rests_on", "detail", "origin",
        "condition", "conditions", "by_maker", "remark", "clean_when", "assumptions",
    }
)  # fmt: skip


def told_in(answer: A, language: Language) -> A:
    """The answer with its sentences in `language`, and in `result.translation` who has read them."""
    if language == FIRST:
        return answer
    told: A = _told(answer, "", translator(language))
    result = told.result.model_copy(update={"translation": mark(language)})  # type: ignore[attr-defined]
    return told.model_copy(update={"result": result})


def _told(part: Any, field: str, say: Translate) -> Any:
    if isinstance(part, BaseModel):
        return part.model_copy(update={name: _told(value, name, say) for name, value in part})
    if isinstance(part, (list, tuple)):
        return [_told(inner, field, say) for inner in part]
    return say(part) if isinstance(part, str) and field in WORDED else part
