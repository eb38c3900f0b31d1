"""RFC 9457 problem details: the one shape of every answer that is not a success. Nothing of the input is echoed."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any
from urllib.parse import quote

from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException
from starlette.responses import Response

from witnessmark.api.plain_text import shape_in_words
from witnessmark.api.unit_names import meant
from witnessmark.api.units import Unit, dimensions
from witnessmark.errors import ConflictError, InputError, OutOfRangeError, TooUncertainError, UnknownNameError

MEDIA_TYPE = "application/problem+json"
MOST_ERRORS = 50
POINTER_LENGTH, NAME_LENGTH = 300, 80
_QUOTED = re.compile(r"'([^']+)'")


_TITLES = {413: "Content Too Large", 422: "Unprocessable Content"}
"""As RFC 9110 has them, where Python's own differ from version to version."""
_WORDS = {
    "missing": "is required",
    "extra_forbidden": "no such field",
    "model_type": "should be an object",
    "model_attributes_type": "should be an object",
    "float_type": "should be a number within double precision",
    "finite_number": "should be a finite number",
}
_OF_MANIFOLDS = frozenset({"inHg_vac", "inHg", "cmHg", "psig", "psia", "psi", "barg", "bara", "bar", "kPag", "MPag"})
"""Units that compound and manifold gauges read in; a vacuum is not told in them."""
_SUBJECT = re.compile(r"^[A-Z]\w+ should ")
_FRAGMENT = "!$&'()*+,;=:@/?"
"""What stands unescaped in the fragment of an address, besides letters, digits and -._~ (RFC 3986, 3.5)."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem: `slug` is the last part of its type, `text` stands on its page."""

    slug: str
    status: int
    text: str


KINDS = {
    kind.slug: kind
    for kind in (
        Kind("malformed-json", 400, "The body is not strict JSON (RFC 8259 in UTF-8, no duplicate names, no NaN)."),
        Kind("malformed-request", 400, "The request is not HTTP as RFC 9112 has it."),
        Kind("no-key", 401, "This installation asks for a key, and none of its own came with the request."),
        Kind("key-not-enough", 403, "The key is known, and not good for this address."),
        Kind("not-found", 404, "There is nothing at this address."),
        Kind("unknown-name", 404, "No catalogue entry has this name; the problem lists near ones."),
        Kind(
            "method-not-allowed", 405, "This address does not take that method; the Allow header lists those it does."
        ),
        Kind(
            "not-acceptable",
            406,
            "None of the media types in Accept can be produced; the problem lists those that can.",
        ),
        Kind("content-too-large", 413, "The body is larger than the service takes."),
        Kind("head-too-large", 431, "The head of the request is larger than the service takes."),
        Kind("unsupported-media-type", 415, "The body must be application/json, not compressed."),
        Kind("invalid-input", 422, "A field is missing, unknown, of the wrong type or outside the schema's limits."),
        Kind("out-of-range", 422, "A value has the right form but lies outside the range in which the answer is true."),
        Kind("malformed-rows", 422, "The body is not of the form that its media type names, or its first line is not."),
        Kind("unusable-columns", 422, "A column has no such name or unit, is missing, or is given twice."),
        Kind("conflict", 422, "Values have the right form but cannot all be right together."),
        Kind("unusable-input", 422, "Values have the right form but the calculation cannot use them."),
        Kind(
            "too-much-work",
            422,
            "The calculation was given up after the time that one may take; the same input takes as long again.",
        ),
        Kind("request-timeout", 408, "The body did not arrive in time."),
        Kind("budget-spent", 429, "The key has taken what it may; try again after the time in Retry-After."),
        Kind("internal-error", 500, "A fault of the service; it was logged. The input may be sent again."),
        Kind(
            "unavailable",
            503,
            "The service is starting, stopping or has too much to do; try again after the time in Retry-After.",
        ),
    )
}


class FieldProblem(BaseModel):
    """What is wrong with one field."""

    pointer: str = Field(description="Where: a JSON Pointer in fragment form (RFC 6901, section 6), `#` for the body.")
    detail: str = Field(description="What is wrong, and what would be accepted. The value itself is not repeated.")


class Problem(BaseModel):
    """A problem as RFC 9457 describes it."""

    type: str = Field(description="A relative reference to a page of this service that explains the kind.")
    title: str = Field(description="The kind in words.")
    status: int = Field(ge=400, le=599, description="The HTTP status once more.")
    detail: str | None = Field(None, description="What is wrong here, in one line.")
    errors: list[FieldProblem] | None = Field(None, description="The fields at fault, at most 50.")


class ProblemError(HTTPException):
    """Raised by the web layer itself. An HTTPException, so that a fault found in the body keeps its shape."""

    def __init__(
        self,
        slug: str,
        detail: str | None = None,
        headers: dict[str, str] | None = None,
        errors: list[FieldProblem] | None = None,
    ) -> None:
        super().__init__(KINDS[slug].status, headers=headers)
        self.slug = slug
        self.text = detail
        self.errors = errors


def respond(
    slug: str,
    detail: str | None = None,
    errors: list[FieldProblem] | None = None,
    headers: dict[str, str] | None = None,
) -> Response:
    """The response for a problem."""
    return _responding(problem(slug, detail, errors), headers)


def problem(slug: str, detail: str | None = None, errors: list[FieldProblem] | None = None) -> Problem:
    """A problem of a kind."""
    kind = KINDS[slug]
    title = _TITLES.get(kind.status) or HTTPStatus(kind.status).phrase
    return Problem(type=f"/problems/{slug}", title=title, status=kind.status, detail=detail, errors=errors)


def _responding(body: Problem, headers: dict[str, str] | None = None) -> Response:
    content = body.model_dump_json(exclude_none=True)
    return Response(content, body.status, {"cache-control": "no-store", **(headers or {})}, MEDIA_TYPE)


def pointer(parts: Iterable[str | int]) -> str:
    """A JSON Pointer in fragment form, escaped as RFC 6901 (3 and 6) asks and cut to a sane length."""
    escaped = "".join("/" + str(part)[:NAME_LENGTH].replace("~", "~0").replace("/", "~1") for part in parts)
    return re.sub("%.?$", "", ("#" + quote(escaped, _FRAGMENT, errors="replace"))[:POINTER_LENGTH])


def from_validation(error: RequestValidationError) -> Response:
    """422 for a body, query or path that does not fit the schema."""
    return _responding(_misfit(error.errors()))


def misfit(errors: Sequence[Any]) -> ProblemError:
    """The same of the framework's errors, to be raised where a body is read apart."""
    found = _misfit(errors)
    return ProblemError(found.type.rpartition("/")[2], found.detail, errors=found.errors)


def _misfit(errors: Sequence[Any]) -> Problem:
    return unfit([{**e, "loc": _steps(e["loc"])} for e in errors])


def unfit(errors: Sequence[Any], at: Sequence[str | int] = ()) -> Problem:
    """The problem of a part that does not fit the schema; at: where the part stands in the body."""
    faults = [FieldProblem(pointer=pointer((*at, *e["loc"])), detail=_detail(e)) for e in errors[:MOST_ERRORS]]
    slug = "unusable-input" if any(map(_unknown, errors)) else "invalid-input"
    return problem(slug, f"{len(errors)} field(s) cannot be used", faults)


def _unknown(error: Any) -> bool:
    """Whether a name fits the schema, which lists none, and yet means nothing here: a refrigerant not served."""
    return isinstance(error.get("ctx", {}).get("error"), UnknownNameError)


def _steps(location: tuple[str | int, ...]) -> tuple[str | int, ...]:
    return location[1:] if location[0] == "body" else location


def _detail(error: Any) -> str:
    """What is wrong, in plain words: the schema's begin `is required`, `no such` or `should`, rules stay as raised."""
    if error["type"] == "value_error":
        return str(error["ctx"]["error"])[:500]
    if error["type"] == "string_pattern_mismatch" and (words := shape_in_words(error["ctx"]["pattern"])):
        return f"should be {words}"
    text = _no_number(error) or _WORDS.get(error["type"]) or _SUBJECT.sub("should ", str(error["msg"]))
    return text[:500] + _meant(error) + _with_unit(error)


def _no_number(error: Any) -> str | None:
    """What stands where a number should, so that nobody looks for one that is too large."""
    if error["type"] != "float_type":
        return None
    if isinstance(error["input"], str):
        return "should be a number and is text: with a decimal point, without quotes, unit or mark of thousands"
    if isinstance(error["input"], bool):
        return "should be a number and is true or false"
    return "should be a number and is null: leave out what was not read" if error["input"] is None else None


def _with_unit(error: Any) -> str:
    """How a quantity is written, where a bare number came for one; the caller's number is not repeated."""
    name, given = (error.get("ctx") or {}).get("class_name", ""), error.get("input")
    dimension = dimensions().get(re.sub(r"\B(?=[A-Z])", "_", name).lower())
    if dimension is None or isinstance(given, bool) or not isinstance(given, int | float):
        return ""
    return f': a number with its unit, such as {{"value": 1, "unit": "{dimension.show["SI"]}"}}'


def _meant(error: Any) -> str:
    """Where a word or a unit is not accepted, those that may be meant; the caller's is not repeated."""
    if error["type"] != "literal_error" or not isinstance(error["input"], str):
        return ""
    expected = _QUOTED.findall(error["ctx"]["expected"])
    if error["loc"][-1] != "unit":
        word = "-".join(error["input"].casefold().replace("_", " ").split())
        return f"; perhaps '{word}' is meant: words stand in small letters, with hyphens" if word in expected else ""
    if set(expected) == set(dimensions()["vacuum"].units) and error["input"] in _OF_MANIFOLDS:
        return (
            "; a compound or manifold gauge cannot show a deep vacuum (one division is thousands of micron): read an "
            "electronic vacuum gauge at the circuit"
        )
    near_ones = meant(error["input"], expected)
    return f"; perhaps {' or '.join(near_ones)} is meant" if near_ones else ""


def from_input_error(error: InputError, body: Any, air_pressure: float) -> Response:
    """422 for a value that the calculation cannot use."""
    return _responding(unusable(error, body, air_pressure))


def unusable(error: InputError, body: Any, air_pressure: float, at_part: Sequence[str | int] = ()) -> Problem:
    """The problem of a value that the calculation cannot use; ranges are shown in the unit in which the value came.

    at_part: where the part of the body that the fields count from stands in the whole.
    """
    accepted = error.accepted
    if isinstance(error, OutOfRangeError):
        accepted = accepted_range(error, at(body, error.field), air_pressure)
    elif isinstance(error, TooUncertainError):
        accepted = accepted_width(error, at(body, error.field))
    fields = error.fields if isinstance(error, ConflictError) else (error.field,)
    told = f"{error.fault}; accepted: {accepted}"
    faults = [FieldProblem(pointer=pointer((*at_part, *filter(None, f.split(".")))), detail=told) for f in fields]
    return problem(_slug(error), "the calculation cannot use this input", faults)


def _slug(error: InputError) -> str:
    if isinstance(error, OutOfRangeError):
        return "out-of-range"
    return "conflict" if isinstance(error, ConflictError) else "unusable-input"


def field_pointer(field: str) -> str:
    """The pointer for a dotted field name."""
    return pointer(field.split(".")) if field else "#"


def at(body: Any, field: str) -> Any:
    """What stands in the body at a dotted field name, or None."""
    for step in field.split("."):
        if isinstance(body, list) and step.isdecimal() and int(step) < len(body):
            body = body[int(step)]
        else:
            body = body.get(step) if isinstance(body, dict) else None
    return body


def accepted_range(error: OutOfRangeError, quantity: Any, air_pressure: float) -> str:
    """The accepted range in the caller's own unit; in SI where the field came without one."""
    unit = _unit(error.dimension, quantity)
    if unit is None:
        return f"{error.low:.6g} to {error.high:.6g}"
    low, high = sorted(unit.from_si(end, air_pressure) for end in (error.low, error.high))
    if unit.factor < 0:  # a vacuum counts downward from the air pressure; above it there is none
        low = max(low, 0.0)
    return f"{low:.6g} to {high:.6g} {unit.name}"


def accepted_width(error: TooUncertainError, quantity: Any) -> str:
    """The widest standard uncertainty accepted, in the caller's own unit as above."""
    unit = _unit(error.dimension, quantity)
    if unit is None:
        return f"a standard uncertainty of at most {error.widest:.6g}"
    return f"a standard uncertainty of at most {unit.width_from_si(error.widest):.6g} {unit.width_words}"


def _unit(name: str, quantity: Any) -> Unit | None:
    """The caller's unit of a dimension, else that of SI; None for plain numbers."""
    dimension = dimensions().get(name)
    if dimension is None:
        return None
    own = quantity.get("unit") if isinstance(quantity, dict) else None
    return dimension.units.get(own or "") or dimension.units[dimension.show["SI"]]


def documented(*slugs: str) -> dict[int | str, dict[str, Any]]:
    """The `responses` of an operation for these kinds of problem."""
    content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    return {KINDS[slug].status: {"description": KINDS[slug].text, "content": content} for slug in slugs}


def near(name: str, names: Iterable[str]) -> list[str]:
    """Up to five names that look like this one."""
    folded = {n.casefold().replace("-", ""): n for n in names}
    close = difflib.get_close_matches(name.casefold().replace("-", "")[:60], folded, n=5, cutoff=0.5)
    return [folded[c] for c in close]
