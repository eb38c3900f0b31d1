"""What is well in callers' words, double denials, a gas named twice, masks. Worst: an alarm read as its denial."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import read_note

LEARNED = True
TOLD = (
    ("capacity-low", "absent", "prep room is plenty cold but it rattles"),
    ("capacity-low", "absent", "oil fault on comp 3, cases all at temp"),
    ("capacity-low", "absent", "still making ice, only the noise"),
    ("capacity-low", "present", "it's not cold enough in there"),
    ("capacity-low", "present", "ice machine makes no ice"),
    ("shaft-seized", "absent", "rotor turned free, no touching in the bore"),
    ("shaft-seized", "present", "turns with a strap wrench but not by hand"),
    ("airflow-low", "present", "blower not turning in the cold room"),
    ("acid-test-positive", "present", "acid kit went yellow"),
    ("insulation-low", "absent", "grounded winding ruled out by megger"),
    ("will-not-start", "absent", "never fails to start"),
    ("liquid-line-temperature-drop", "present", "drop across liquid drier 12F"),
)


@pytest.mark.parametrize(("finding", "state", "text"), TOLD)
def test_it_is_read_as_it_is_told(finding: str, state: str, text: str) -> None:
    assert state in {m.state for m in read_note(text).matches if m.finding == finding}


@pytest.mark.parametrize("text", ["never fails to knock", "never fails to trip the breaker", "doesn't stop knocking"])
def test_two_denials_of_a_fault_deny_nothing(text: str) -> None:
    assert not any(m.state == "absent" for m in read_note(text).matches)


def test_what_is_dropped_across_a_drier_is_no_temperature_of_the_liquid() -> None:
    assert "liquid_temperature" not in read_note("drop across liquid drier 12F").readings


@pytest.mark.parametrize("text", ["topped off the R404A unit with R404A", "topping R404A into R404A"])
def test_the_same_gas_named_twice_is_not_mixed(text: str) -> None:
    assert "refrigerant-mixed" not in {m.finding for m in read_note(text).matches}


@pytest.mark.parametrize("text", ["R404A machine topped up with R407A", "R404A unit, mixed refrigerant, R404A tag"])
def test_another_gas_or_a_word_for_it_is(text: str) -> None:
    assert "refrigerant-mixed" in {m.finding for m in read_note(text).matches}


@pytest.mark.parametrize(
    "text", ["operator w/o mask reported strong odour of NH3", "NH3 in the hall, without a mask nobody can stay"]
)
def test_a_mask_that_is_missing_denies_no_gas(text: str) -> None:
    assert not any(m.finding == "ammonia-released" and m.state == "absent" for m in read_note(text).matches)
