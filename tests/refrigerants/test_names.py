"""Names of refrigerants: spellings of the trade by hand, not made from the rules."""

from __future__ import annotations

import pytest

from witnessmark.data import DataError
from witnessmark.refrigerants import catalogue, names
from witnessmark.refrigerants.names import Given, Guessed, Mixed, NotServedError, resolve

SPELLINGS = {
    "R410A": "R-410A",
    "R410a": "R-410A",
    "r-410A": "R-410A",
    "410a": "R-410A",
    "R 410 A": "R-410A",
    "R22": "R-22",
    "HCFC-22": "R-22",
    "r134a": "R-134a",
    "R-134A": "R-134a",
    "HFC-134a": "R-134a",
    "hfc 134a ": "R-134a",
    "R-454B ": "R-454B",
    "\tR-448A\n": "R-448A",
    "CFC12": "R-12",
    "HFO-1234yf": "R-1234yf",
    "R1234ze(E)": "R-1234ze(E)",
    "R-1234ze E": "R-1234ze(E)",
    "HCFO-1233zd(E)": "R-1233zd(E)",
    "propane": "R-290",
    "Propane": "R-290",
    "HC-290": "R-290",
    "CO2": "R-744",
    "Carbon Dioxide": "R-744",
    "r744": "R-744",
    "ammonia": "R-717",
    "NH3": "R-717",
    "isobutane": "R-600a",
    "R600A": "R-600a",
    "propylene": "R-1270",
    "n-butane": "R-600",
}


@pytest.mark.parametrize(("name", "designation"), SPELLINGS.items())
def test_usual_spellings(name: str, designation: str) -> None:
    assert resolve(name) == designation
    assert not isinstance(resolve(name), Guessed)


@pytest.mark.parametrize("designation", catalogue.designations())
def test_every_designation_means_itself(designation: str) -> None:
    assert resolve(designation) == designation
    assert resolve(designation.replace("-", "").lower()) == designation


@pytest.mark.parametrize(
    ("name", "designation"),
    [
        ("R-1234ze", "R-1234ze(E)"),
        ("r1233zd", "R-1233zd(E)"),
        ("HCFO-1224yd", "R-1224yd(Z)"),
        ("r404", "R-404A"),
        ("507", "R-507A"),
        ("410", "R-410A"),
    ],
)
def test_a_guess_is_told(name: str, designation: str) -> None:
    meant = resolve(name)
    assert isinstance(meant, Guessed)
    assert meant == designation
    assert designation in meant.words


@pytest.mark.parametrize(
    ("name", "candidates"),
    [
        ("402", ("R-402A", "R-402B")),
        ("R-454", ("R-454A", "R-454B", "R-454C")),
        ("R1336mzz", ("R-1336mzz(E)", "R-1336mzz(Z)")),
    ],
)
def test_what_may_mean_several_is_refused_with_them(name: str, candidates: tuple[str, ...]) -> None:
    with pytest.raises(NotServedError) as refusal:
        resolve(name)
    assert refusal.value.near == candidates
    assert "several" in refusal.value.fault


@pytest.mark.parametrize("name", ["R-134", "r403b", "R412A", "R-400", "r740"])
def test_a_real_designation_is_no_typing_error(name: str) -> None:
    with pytest.raises(NotServedError) as refusal:
        resolve(name)
    assert "real designation" in refusal.value.fault


@pytest.mark.parametrize("name", ["", "R", "R-999Z", "water cooler", "R-41OA", "R-410AA", "(" * 5000])
def test_what_means_nothing_is_refused(name: str) -> None:
    with pytest.raises(NotServedError):
        resolve(name)


def test_the_near_ones_of_a_typing_error() -> None:
    with pytest.raises(NotServedError) as refusal:
        resolve("R-41OA")
    assert "R-410A" in refusal.value.near


@pytest.mark.parametrize(
    ("part", "value", "fault"),
    [
        ("substances", {"propane": "R-999"}, "R-999 is not catalogued"),
        ("usual", {"R-1": "R-998"}, "R-998 is not catalogued"),
        ("unserved", (names.Unserved(reason="no", designations=("R-32",)),), "R-32 is catalogued"),
    ],
)
def test_names_that_lead_nowhere_stop_the_start(
    monkeypatch: pytest.MonkeyPatch, part: str, value: object, fault: str
) -> None:
    changed = names.NAMES().model_copy(update={part: value})
    monkeypatch.setattr(names, "NAMES", lambda: changed)
    with pytest.raises(DataError, match=fault):
        names.names_lead_somewhere()


def test_two_designations_that_fold_to_one_stop_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(catalogue, "designations", lambda: ("R-290", "R290", *SPELLINGS.values()))
    with pytest.raises(DataError, match="differ by case"):
        names.names_lead_somewhere()


@pytest.mark.parametrize(
    ("name", "designation"),
    [
        ("R-32/125 (60/40)", "R-32/125 (60/40)"),
        (" r125/R32 (40 % / 60 %) ", "R-32/125 (60/40)"),
        ("R-410A/R-22 (90/10)", "R-22/32/125 (10/45/45)"),
        ("R1234ze(E)/R227ea (80/20)", "R-227ea/1234ze(E) (20/80)"),
        ("propane/R-600a (50/50)", "R-290/600a (50/50)"),
    ],
)
def test_a_mixture_is_meant_by_its_composition(name: str, designation: str) -> None:
    meant = resolve(name)
    assert isinstance(meant, Mixed)
    assert meant == designation
    assert resolve(meant) == meant
    assert designation in meant.words
    assert "K" in meant.words


def test_what_is_estimated_in_a_mixture_is_told() -> None:
    meant = resolve("R-410A/22 (90/10)")
    assert isinstance(meant, Mixed)
    assert "R-22 with R-125" in meant.words
    assert "3 K" in meant.words


@pytest.mark.parametrize(
    ("name", "designation"),
    [("R-125/R-32 (50/50)", "R-410A"), ("R32/125/134a (23/25/52)", "R-407C"), ("R-410A/410A (30/70)", "R-410A")],
)
def test_the_composition_of_a_catalogued_refrigerant_is_that_refrigerant(name: str, designation: str) -> None:
    """With its own equation, class and accuracy: the class of R-410A is A1, of its components as a mixture A2L."""
    meant = resolve(name)
    assert isinstance(meant, Given)
    assert meant == designation
    assert designation in meant.words


def test_shares_by_moles() -> None:
    """By hand: 52.02 g/mol of R-32 and 120.02 g/mol of R-125 in equal moles are 30.24 and 69.76 % by mass."""
    assert names.mixture([("R-32", 0.5), ("R-125", 0.5)], "mole") == "R-32/125 (30.239/69.761)"


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("R-32/125 (60/30)", "add up"),
        ("R-32/125 (60)", "one share"),
        ("R-32/125 (6.0.1/93.9)", "numbers in per cent"),
        ("R-22/600a (90/10)", "R-22 with R-600a"),
        ("R-448A/449A/R-407C/R-22/290 (20/20/20/20/20)", "more than 6"),
        ("R-32/999 (60/40)", "no such refrigerant"),
    ],
)
def test_a_mixture_that_cannot_be_is_refused_with_the_reason(name: str, fault: str) -> None:
    with pytest.raises(NotServedError, match=fault):
        resolve(name)


def test_shares_below_zero_are_refused() -> None:
    with pytest.raises(NotServedError, match="add up"):
        names.mixture([("R-32", 1.1), ("R-125", -0.1)])


def test_the_text_of_parts_is_what_resolve_reads() -> None:
    assert resolve(names.mixture_text([("R-410A", 0.9), ("R22", 0.1)], "mass")) == "R-22/32/125 (10/45/45)"
    alone = resolve(names.mixture_text([("R-22", 0.4), ("HCFC-22", 0.6)], "mole"))
    assert isinstance(alone, Given)
    assert alone == "R-22"
