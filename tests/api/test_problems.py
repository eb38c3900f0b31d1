import json
import re

import pytest

from witnessmark.api.problems import (
    KINDS,
    at,
    documented,
    field_pointer,
    from_input_error,
    near,
    pointer,
    respond,
    unfit,
)
from witnessmark.errors import ConflictError, InputError, OutOfRangeError, TooUncertainError, UnknownNameError


def test_pointer_is_escaped_as_rfc_6901_asks() -> None:
    # RFC 6901, section 5: the members "a/b" and "m~n" are /a~1b and /m~0n
    assert pointer(["a/b", "m~n", 0]) == "#/a~1b/m~0n/0"
    assert field_pointer("readings.2.pressure") == "#/readings/2/pressure"
    assert field_pointer("") == "#"


def test_pointer_is_a_fragment_of_an_address() -> None:
    # RFC 6901, section 6: "c%d" is #/c%25d, "i\\j" is #/i%5Cj, 'k"l' is #/k%22l, " " is #/%20
    assert pointer(["c%d"]) == "#/c%25d"
    assert pointer(["i\\j", 'k"l', " "]) == "#/i%5Cj/k%22l/%20"
    assert pointer(["µ", "\ud800"]) == "#/%C2%B5/?"


def test_pointer_is_cut_but_not_within_an_escape() -> None:
    assert len(pointer(["x" * 10_000])) == 82
    assert len(pointer(["x" * 70] * 20)) == 300
    for lead in ("", "a", "ab"):
        assert re.fullmatch(r"#/[ab]*(%20)+", pointer([lead + " " * 1000]))


def test_range_is_shown_in_the_unit_that_came() -> None:
    error = OutOfRangeError("suction.pressure", 9e6, 101_325.0, 201_325.0, "pressure")
    body = {"suction": {"pressure": {"value": 90, "unit": "barg"}}}
    problem = json.loads(bytes(from_input_error(error, body, 101_325.0).body))
    assert problem["errors"] == [
        {"pointer": "#/suction/pressure", "detail": "above the accepted range; accepted: 0 to 1 barg"}
    ]
    assert problem["type"] == "/problems/out-of-range"
    assert "90" not in json.dumps(problem)


@pytest.mark.parametrize(
    ("dimension", "given", "accepted"),
    [
        ("pressure", {"value": 5, "unit": "barg"}, "1 bar"),
        ("pressure", {"value": 5, "unit": "psig"}, "14.5038 psi"),
        ("temperature", {"value": 5, "unit": "degF"}, "180000 degF"),
        ("temperature", None, "100000 K"),
        ("number", 5, "100000"),
    ],
)
def test_the_widest_uncertainty_is_shown_in_the_unit_that_came(dimension: str, given: object, accepted: str) -> None:
    error = TooUncertainError("reading", 1e5, dimension)
    problem = json.loads(bytes(from_input_error(error, {"reading": given}, 101_325.0).body))
    assert problem["type"] == "/problems/unusable-input"
    assert problem["errors"] == [
        {
            "pointer": "#/reading",
            "detail": "its uncertainty is wider than the accepted range; accepted: a standard uncertainty of at most "
            + accepted,
        }
    ]


@pytest.mark.parametrize(
    ("error", "slug", "pointers"),
    [
        (ConflictError(("a", "b.0"), "cannot both be", "one of them"), "conflict", ["#/a", "#/b/0"]),
        (InputError("x", "is empty", "at least one"), "unusable-input", ["#/x"]),
        (UnknownNameError("x", "place", ("here",)), "unusable-input", ["#/x"]),
        (OutOfRangeError("n", 3, 1, 2), "out-of-range", ["#/n"]),
        (OutOfRangeError("n", 0, 1, 2, "length"), "out-of-range", ["#/n"]),
    ],
)
def test_kinds_of_input_error(error: InputError, slug: str, pointers: list[str]) -> None:
    problem = json.loads(bytes(from_input_error(error, {"n": 3}, 0.0).body))
    assert problem["type"] == f"/problems/{slug}"
    assert problem["status"] == 422
    assert [e["pointer"] for e in problem["errors"]] == pointers


def test_at_walks_lists_and_objects() -> None:
    assert at({"a": [{"b": 1}]}, "a.0.b") == 1
    assert at({"a": [{"b": 1}]}, "a.7.b") is None
    assert at(3, "a") is None


def test_every_kind_can_be_answered_and_documented() -> None:
    for slug, kind in KINDS.items():
        response = respond(slug)
        assert response.status_code == kind.status
        assert response.media_type == "application/problem+json"
    assert set(documented("invalid-input", "not-found")) == {422, 404}


def test_near_names() -> None:
    assert near("r410a", ["R-410A", "R-32", "R-404A"])[0] == "R-410A"
    assert near("water", ["R-410A"]) == []


def test_an_unknown_refrigerant_fits_the_schema_and_cannot_be_used() -> None:
    unknown = {"type": "value_error", "loc": ("refrigerant",), "ctx": {"error": UnknownNameError("f", "name", ())}}
    missing = {"type": "missing", "loc": ("pressure",), "msg": "Field required"}
    assert unfit([unknown]).type == "/problems/unusable-input"
    assert unfit([missing]).type == "/problems/invalid-input"
