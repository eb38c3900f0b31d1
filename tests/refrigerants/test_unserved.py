"""Real refrigerants without properties: the name goes on, whatever asks for a property is refused with the reason."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from witnessmark.errors import InputError
from witnessmark.refrigerants import catalogue, lines, saturation
from witnessmark.refrigerants.names import UnservedError, resolve
from witnessmark.refrigerants.unserved import Bare, refuse_bare, with_properties


@pytest.mark.parametrize(
    ("written", "designation", "reason"),
    [
        ("r 413a", "R-413A", "interaction parameters for its pair R-218/R-600a"),
        ("R-505", "R-505", "no equation of state for R-31, one of its components"),
        ("R-30", "R-30", "no equation of state"),
        ("Methylene Chloride", "methylene chloride", "no equation of state"),
        ("R-251", "R-251", "no equation of state"),
    ],
)
def test_the_name_that_goes_on(written: str, designation: str, reason: str) -> None:
    with pytest.raises(UnservedError, match=reason) as refused:
        resolve(written)
    bare = refused.value.bare
    assert bare == designation
    assert reason in bare.reason
    assert f"{designation} is a real designation that is not served" in bare.words
    assert "safety class is not known here" in bare.words


def test_the_name_that_goes_on_is_read_as_itself() -> None:
    """Worst: what one answer names, the next request does not know."""
    with pytest.raises(UnservedError) as first:
        resolve("hcfc251")
    with pytest.raises(UnservedError) as second:
        resolve(str(first.value.bare))
    assert first.value.bare == second.value.bare


@pytest.mark.parametrize(
    "property_of",
    [
        catalogue.get,
        catalogue.recipe,
        catalogue.known,
        lines.load,
        lambda name: saturation.dew_pressure(name, 273.15),
    ],
)
def test_no_property_without_properties(property_of: Callable[[str], object]) -> None:
    with pytest.raises(InputError, match="R-413A has no properties here: no model") as refused:
        property_of(Bare("R-413A", "no model"))
    assert refused.value.field == "refrigerant"


def test_a_served_one_passes() -> None:
    refuse_bare("R-134a")
    assert with_properties("R-134a") == "R-134a"
    assert with_properties(None) is None
    assert with_properties(Bare("R-413A", "no model")) is None
