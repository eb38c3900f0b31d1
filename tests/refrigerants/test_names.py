"""Names of refrigerants: spellings of the trade by hand, not made from the rules."""

from __future__ import annotations

import pytest

from witnessmark.data import DataError
from witnessmark.refrigerants import catalogue, names
from witnessmark.refrigerants.names import Guessed, NotServedError, resolve

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
