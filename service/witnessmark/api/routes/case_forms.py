"""What kind of answer each field of the case document takes, read from its own schema."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from typing import Any

from witnessmark.api.labels import extensions
from witnessmark.api.schemas.case_document import CaseDocument
from witnessmark.api.schemas.case_questions import AnswerKind
from witnessmark.casework.document import Json, at
from witnessmark.cleanup.schedule import zones_known
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.language.catalogue import Translate
from witnessmark.refrigerants import catalogue

_KINDS: dict[str, AnswerKind] = {"boolean": "yes-no", "number": "number", "integer": "number", "array": "list"}
_YES_NO = ({"value": True, "label": "yes"}, {"value": False, "label": "no"})


@cache
def _schema() -> Json:
    return CaseDocument.model_json_schema()


def answer_to(field: str) -> Json:
    """Kind of answer, choices and units of a dotted field of the document."""
    if field == "refrigerant":  # other spellings are taken too, so the schema lists none
        names = [{"value": name, "label": name} for name in catalogue.designations()]
        return {"answer": "choice", "choices": names, "units": []}
    if field == "site.time_zone":
        zones = [{"value": name, "label": name.replace("_", " ")} for name in zones_known()]
        return {"answer": "choice", "choices": zones, "units": []}
    name, part = _field(field)
    choices = _choices(name, part.get("enum", ()))
    units: list[Json] = []
    if "unit" in part.get("properties", {}):
        kind: AnswerKind = "quantity"
        unit_name, unit = _resolved("unit", part["properties"]["unit"])
        units = _choices(unit_name, unit.get("enum", ()))
    elif choices:
        kind = "choice"
    elif "pattern" in part and part["pattern"].startswith(r"^\d{4}"):
        kind = "moment"
    else:
        kind = _KINDS.get(part.get("type", ""), "group" if "properties" in part else "text")
    return {"answer": kind, "choices": list(_YES_NO) if kind == "yes-no" else choices, "units": units}


def asked_at(field: str, case: Json) -> str:
    """Where the answer belongs: the whole of what the document requires together, as long as it holds none of it."""
    steps = field.split(".")
    for length in range(1, len(steps)):
        holder = ".".join(steps[:length])
        required = set(_field(holder)[1].get("required", ()))
        if at(case, holder) is None and required - {steps[length]}:
            return holder
    return field


def asked_together(field: str, beside: Sequence[str] = (), preset: Mapping[str, str] | None = None) -> list[Json]:
    """What a group or an entry of a list at a dotted field holds, each with its kind of answer.

    All that is required, down to single answers (`stages.0.duration`), then what is asked `beside` it. preset: values
    that go there unasked.
    """
    part = _field(field)[1]
    inside = [*_leaves(field, part)] if part.get("type") == "array" or "properties" in part else []
    known = preset or {}
    names = dict.fromkeys((*known, *inside, *beside))
    return [
        {"field": inner, "label": _label(inner), "needed": inner in (*inside, *known), "preset": known.get(inner)}
        | answer_to(f"{field}.{inner}")
        for inner in names
    ]


def _leaves(field: str, part: Json) -> Iterator[str]:
    """Names, below a field, of the single answers without which it is not taken."""
    if part.get("type") == "array":
        names = [str(place) for place in range(max(1, part.get("minItems", 1)))]
    else:
        names = list(part.get("required", ()))
    for name in names:
        inner = _field(f"{field}.{name}")[1]
        grouped = inner.get("type") == "array" or ("properties" in inner and "unit" not in inner["properties"])
        deeper = [*_leaves(f"{field}.{name}", inner)] if grouped else []
        yield from (f"{name}.{leaf}" for leaf in deeper)
        if not deeper:
            yield name


def _label(name: str) -> str:
    """The name of an answer in words; entries of a list are counted from 1."""
    steps = [str(int(step) + 1) if step.isdecimal() else step.replace("_", " ") for step in name.split(".")]
    return " ".join(steps)


def answer_of_finding(finding: str) -> Json:
    """The states that a finding may have, in its own words."""
    row = knowledge().findings[finding]
    states = ("low", "normal", "high") if row.kind == "three-way" else ("present", "absent")
    choices = [{"value": state, "label": row.wording(state)} for state in (*states, "unknown")]
    return {"answer": "choice", "choices": choices, "units": []}


def answer_of_check() -> Json:
    """How a check of the gate may be stated."""
    outcome = _schema()["$defs"]["StatedCheck"]["properties"]["outcome"]
    name, part = _resolved("outcome", outcome)
    return {"answer": "choice", "choices": _choices(name, part["enum"]), "units": []}


def worded(part: Any, say: Translate) -> Any:
    """A question, or what it holds, with its words said in another language; ids and values stay."""
    if isinstance(part, list):
        return [worded(inner, say) for inner in part]
    if not isinstance(part, dict):
        return part
    return {key: _said(told, say) if key in _WORDS and told else worded(told, say) for key, told in part.items()}


_WORDS = ("text", "why", "label")
"""Fields of a question that people read."""
_COUNTED = re.compile(r" ?\b(\d+)\b ?")


def _said(text: str, say: Translate) -> str:
    """A text; a label with numbers of entries word by word where it is not known as a whole."""
    whole = say(text)
    if whole != text or not _COUNTED.search(text) or len(text) > _LONGEST_LABEL:
        return whole
    return " ".join(say(step) for step in _COUNTED.split(text) if step)


_LONGEST_LABEL = 60


def _field(field: str) -> tuple[str, Json]:
    """The name of the schema at a dotted path, and what it says."""
    name, part = "", _schema()
    for step in field.split("."):
        if step.isdecimal():
            name, part = _resolved(step, part["items"])
        else:
            name, part = _resolved(step, part.get("properties", {}).get(step, {}))
    return name, part


def _resolved(name: str, part: Json) -> tuple[str, Json]:
    """Through references and through what may be null."""
    while True:
        options = [option for option in part.get("anyOf", ()) if option.get("type") != "null"]
        if "$ref" in part:
            name = part["$ref"].rsplit("/", 1)[-1]
            part = _schema()["$defs"][name]
        elif options:
            part = options[0]
        else:
            return name, part


def _choices(name: str, values: Any) -> list[Json]:
    labels = extensions(name, list(values))["x-labels"] if values else {}
    return [{"value": value, "label": labels[str(value)]} for value in values]
