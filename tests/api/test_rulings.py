"""Limits as they are shown, and the names of faults in nested parts."""

from __future__ import annotations

import pytest

from witnessmark.api.context import RequestContext
from witnessmark.api.quantities import Resistance, Time
from witnessmark.api.rulings import number_limit, quantity_limit, si
from witnessmark.calculations.metrology.limits import Limit, StatedLimit
from witnessmark.errors import ConflictError, InputError, OutOfRangeError, located

LIMIT = Limit("higher", (StatedLimit(0.5e6, "common-practice", "a note"), StatedLimit(2e6, "coolprop")))


def test_a_ruling_shows_every_figure_and_cites_its_source() -> None:
    context = RequestContext()
    shown = quantity_limit(context, LIMIT.rule(), Resistance, "megohm")
    assert (shown.value.value, shown.value.unit, shown.side) == (2, "megohm", "not below")
    assert [(s.value.value, s.note) for s in shown.stated] == [(0.5, "a note"), (2, "")]
    assert {s.id for s in context.notes()["sources"]} == {"common-practice", "coolprop"}
    assert context.assumptions == []


def test_a_maker_s_limit_is_noted() -> None:
    context = RequestContext()
    shown = number_limit(context, Limit("lower", (StatedLimit(0.02, "coolprop"),)).rule(0.03, "Guide 7, page 2"))
    assert (shown.value, shown.basis, shown.side, shown.looser_than_published) == (0.03, "maker", "not above", True)
    assert len(context.assumptions) == 1
    assert "Guide 7, page 2" in shown.remark
    assert [c.id for c in context.notes()["cautions"]] == ["maker-limit-looser"]


def test_si_of_a_limit() -> None:
    assert si(Time(value=2, unit="h"), "maker_hold", (0.0, 1e5)) == 7200
    assert si(None, "maker_hold", (0.0, 1e5)) is None
    with pytest.raises(OutOfRangeError) as caught:
        si(Time(value=2, unit="d"), "maker_hold", (0.0, 1e5))
    assert (caught.value.field, caught.value.dimension) == ("maker_hold", "time")


def test_faults_of_a_nested_part_carry_its_name() -> None:
    with pytest.raises(InputError) as caught, located("tests.windings"):
        raise InputError("terminals.0", "wrong", "right")
    assert caught.value.field == "tests.windings.terminals.0"
    with pytest.raises(InputError) as caught, located("tests.oil"):
        raise InputError("", "nothing", "something")
    assert caught.value.field == "tests.oil"
    with pytest.raises(ConflictError) as conflict, located("part"):
        raise ConflictError(("a", "b"), "both", "one")
    assert (conflict.value.field, conflict.value.fields) == ("part.a", ("part.a", "part.b"))
