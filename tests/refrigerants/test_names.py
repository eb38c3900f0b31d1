"""Names of refrigerants: spellings of the trade by hand, not made from the rules."""

from __future__ import annotations

import pytest

from witnessmark.data import DataError
from witnessmark.refrigerants import catalogue, names
from witnessmark.refrigerants.names import NotServedError, resolve
from witnessmark.refrigerants.told_mixtures import Given, Mixed
from witnessmark.refrigerants.unserved import Guessed

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
        ("1,3,3,3-tetrafluoropropene", "R-1234ze(E)"),
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
        ("410", ("R-410A", "R-410B")),
        ("R-513", ("R-513A", "R-513B")),
        ("r448", ("R-448A", "R-448B")),
        ("R-427", ("R-427A", "R-427C")),
        ("R-1234", ("R-1234yf", "R-1234ze(E)", "R-1234ze(Z)")),
        ("HFC-236", ("R-236ea", "R-236fa")),
        ("C4H10", ("R-600", "R-600a")),
        ("R-1336", ("R-1336mzz(E)", "R-1336mzz(Z)")),
    ],
)
def test_what_may_mean_several_is_refused_with_them(name: str, candidates: tuple[str, ...]) -> None:
    with pytest.raises(NotServedError) as refusal:
        resolve(name)
    assert refusal.value.near == candidates
    assert "several" in refusal.value.fault


@pytest.mark.parametrize(
    ("name", "candidate", "other"),
    [
        ("R-1233", "R-1233zd(E)", "R-1233xf"),
        ("R-227", "R-227ea", "R-227ca"),
        ("C2H2F4", "R-134a", "R-134"),
        ("tetrafluoroethane", "R-134a", "R-134"),
        ("R-1132", "R-1132(E)", "R-1132a"),
        ("R-1130", "R-1130(E)", "R-1130a"),
    ],
)
def test_a_real_one_that_is_not_served_counts_as_a_candidate(name: str, candidate: str, other: str) -> None:
    """The worst answer would be that of the one that happens to be served: R-134 boils 6 K warmer than R-134a."""
    with pytest.raises(NotServedError) as refusal:
        resolve(name)
    assert refusal.value.near == (candidate,)
    assert other in str(refusal.value)


def test_two_isomers_that_are_served_are_both_candidates() -> None:
    """The worst answer would be that of one of them: R-245ca boils 10 K warmer than R-245fa."""
    for name in ("R-245", "pentafluoropropane"):
        with pytest.raises(NotServedError) as refusal:
            resolve(name)
        assert set(refusal.value.near) == {"R-245ca", "R-245fa"}


def test_a_formula_that_two_substances_share_is_answered_by_the_usual_one_and_said() -> None:
    """C3H6 is propene, which the trade charges, and cyclopropane."""
    assert resolve("C3H6") == "R-1270"
    assert "leaves the isomer open" in getattr(resolve("C3H6"), "words", "")


@pytest.mark.parametrize(("name", "near"), [("R-143", "R-143a"), ("R-152", "R-152a"), ("R134", "R-134a")])
def test_a_substance_of_its_own_is_not_its_isomer(name: str, near: str) -> None:
    """R-143 is 1,1,2-trifluoroethane (ASHRAE 34, numbering), which boils 52 K warmer than R-143a."""
    with pytest.raises(NotServedError, match="real designation") as refusal:
        resolve(name)
    assert refusal.value.near == (near,)


ASHRAE_34 = """10 11 12 12B1 12B2 13 13B1 14 20 21 22 22B1 23 30 31 32 40 41 50 110 111 112 112a 113 113a 114 114a
115 116 120 123 123a 124 124a 125 133a 134 134a 140a 141b 142b 143 143a 150 150a 152 152a 160 161
170 E170 216ca 218 227ca 227ea 236ea 236fa 245ca 245cb 245fa 290 C316 C317 C318 600 600a 601 601a
610 611 630 631 702 704 717 718 720 728 729 732 740 744 744A 764 1112a 1113 1114 1120 1123 1130(E)
1132a 1132(E) 1140 1141 1150 1224yd(Z) 1233zd(E) 1234yf 1234ze(E) 1234ze(Z) 1243zf 1270 1336mzz(E)
1336mzz(Z) 400 403A 403B 404A 405A 406A 412A 413A 414A 414B 416A 429A 435A 446A 461A 468A 473A 505
506 507A"""
"""Designations of ASHRAE 34 (editions 1978 to 2024), table 1 and 2; from memory, about half of the tables."""


@pytest.mark.parametrize("number", ASHRAE_34.split())
def test_no_real_designation_is_called_a_typing_error(number: str) -> None:
    name = f"R-{number}"
    try:
        assert resolve(name) == name
    except NotServedError as refusal:
        assert "real designation" in refusal.fault  # noqa: PT017 - one of two


@pytest.mark.parametrize(
    "name", ["R-24", "R-135", "R-144", "R-134b", "R-32a", "R-1132b", "R-245xx", "R-1150a", "R-290A"]
)
def test_a_number_that_no_substance_has_is_a_typing_error(name: str) -> None:
    with pytest.raises(NotServedError, match="no such refrigerant"):
        resolve(name)


CHEMICAL = {
    "water": "R-718",
    "H2O": "R-718",
    "dimethyl ether": "R-E170",
    "DME": "R-E170",
    "difluoromethane": "R-32",
    "chlorodifluoromethane": "R-22",
    "1,1,1,2-tetrafluoroethane": "R-134a",
    "NH3": "R-717",
    "CO\u2082": "R-744",
    "CHClF2": "R-22",
    "C3H8": "R-290",
    "CF3CH2F": "R-134a",
    "ch2f2": "R-32",
    "Trichlorofluoromethane": "R-11",
    "sulphur dioxide": "R-764",
    "cis-1-chloro-2,3,3,3-tetrafluoro-1-propene": "R-1224yd(Z)",
    "SO2": "R-764",
    "amon\u00edaco": "R-717",
    "methane": "R-50",
    "Vinyl chloride": "R-1140",
    "air": "R-729",
    "N2O": "R-744A",
    "diethyl ether": "R-610",
    "ethyl ether": "R-610",
    "cyclopropane": "R-C270",
    "O2": "R-732",
    "argon": "R-740",
}


@pytest.mark.parametrize(("name", "designation"), CHEMICAL.items())
def test_names_and_formulas_of_substances(name: str, designation: str) -> None:
    """IUPAC nomenclature, and trivial names of the trade."""
    assert resolve(name) == designation


@pytest.mark.parametrize("designation", [n for n in catalogue.designations() if catalogue.recipe(n).kind == "single"])
def test_every_single_substance_goes_by_its_chemical_name(designation: str) -> None:
    assert resolve(catalogue.recipe(designation).chemical_name) == designation


@pytest.mark.parametrize(
    "name", ["chloroform", "methyl formate", "R-30", "ethyl chloride", "R-225", "methylamine", "R-446", "R-403"]
)
def test_a_real_substance_without_an_equation_is_told_from_a_slip(name: str) -> None:
    with pytest.raises(NotServedError, match="real designation") as refusal:
        resolve(name)
    assert refusal.value.near == ()


@pytest.mark.parametrize("name", ["R-134", "r403b", "R412A", "R-400", "r630"])
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
        ("several", {"C": ("R-997",)}, "R-997 is neither"),
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


@pytest.mark.parametrize(
    ("name", "designation"),
    [
        ("R-600\u0430", "R-600a"),
        ("R-410\u0412", "R-410B"),
        ("R-600\u00e4", "R-600a"),
        ("\uff32\uff0d\uff14\uff11\uff10\uff21", "R-410A"),
        ("R\u2013410A", "R-410A"),
        ("R.410A", "R-410A"),
        ("R-410A,", "R-410A"),
        ("HFO-1233zd(E)", "R-1233zd(E)"),
        ("HFC-404A", "R-404A"),
        ("HCFC-502", "R-502"),
    ],
)
def test_letters_of_other_alphabets_that_look_like_latin_ones(name: str, designation: str) -> None:
    """Dropped, they made butane of isobutane, 11.6 K off in superheat at 1.5 bar."""
    assert resolve(name) == designation


@pytest.mark.parametrize(
    "name",
    [
        "R-22\u0411",
        "R-32\u00bd",
        "R-2.2",
        "R-1,2",
        "R-12,5",
        "R-12/34yf",
        "R-50%",
        "R-1.34a",
        "R-22 + 4",
        "R-600\u0436",
    ],
)
def test_a_sign_or_a_foreign_letter_in_a_number_is_never_left_out(name: str) -> None:
    with pytest.raises(NotServedError):
        resolve(name)


@pytest.mark.parametrize(
    "name", ["HC-22", "HFO-410A", "HC-744", "CFC-22", "HCFC-134a", "HFC-290", "CFC-134a", "PFC-32"]
)
def test_letters_that_say_another_kind_of_substance_are_refused(name: str) -> None:
    """Worst: a hydrocarbon asked for and an incombustible one answered."""
    with pytest.raises(NotServedError, match="has this number") as refusal:
        resolve(name)
    assert len(refusal.value.near) == 1


@pytest.mark.parametrize("name", ["R-22a", "R12a", "r-502A"])
def test_what_is_sold_as_a_designation_and_is_none_says_that_it_may_burn(name: str) -> None:
    with pytest.raises(NotServedError, match="flammable") as refusal:
        resolve(name)
    assert refusal.value.near == ()


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("R-32/125", "with its shares"),
        ("R410A + R22", "with its shares"),
        ("R-32/125 (60/30)", "add up to 90 %"),
        ("R-32/blah (60/40)", "blah: no such refrigerant"),
        ("swamp gas", "no such refrigerant; GET"),
    ],
)
def test_a_refusal_says_what_is_wrong(name: str, said: str) -> None:
    with pytest.raises(NotServedError) as refusal:
        resolve(name)
    assert said in str(refusal.value)


def test_shares_as_fractions_and_shares_within_the_last_digit_of_a_designation() -> None:
    """0.6975 and 0.3025 by moles are R-410A to four digits (49.986 % R-32 by mass)."""
    assert resolve("R-32/125 (0.5/0.5)") == "R-410A"
    assert names.mixture([("R-32", 0.6975), ("R-125", 0.3025)], "mole") == "R-410A"
    assert names.mixture([("R-32", 0.499), ("R-125", 0.501)]) == "R-32/125 (49.9/50.1)"


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("R-32/125 (60/39.9)", "add up to 99.9 %: each was divided by that."),
        ("R-32/125 (60/40.15)", "add up to 100.15 %: each was divided by that."),
        ("R-32/125 (49.95/49.95)", "add up to 99.9 %: each was divided by that."),
        ("R-32/125 (60/40)", ""),
        ("R-32/125 (0.6/0.4)", ""),
        ("R-32/125/134a (23/25/52)", ""),
    ],
)
def test_shares_that_are_no_whole_are_said_to_be_made_one(name: str, told: str) -> None:
    """Worst: a share that was written wrong is made to fit without a word."""
    meant = resolve(name)
    assert isinstance(meant, Given | Mixed)
    assert told in meant.words
    assert bool(told) == ("add up to" in meant.words)
    assert resolve(name.replace(" ", "")).words.count("add up to") == bool(told)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", ["R-1311", "r1311"])
def test_a_digit_for_a_letter_is_a_typing_error_and_no_designation(name: str) -> None:
    with pytest.raises(NotServedError, match="no such refrigerant: R-13I1") as caught:
        resolve(name)
    assert "real designation" not in str(caught.value)


@pytest.mark.parametrize(
    ("name", "designation"),
    [
        ("refrigerant 410a", "R-410A"),
        ("R-410A gas", "R-410A"),
        ("Refrigerant: R-22", "R-22"),
        ("gas refrigerante R-410A", "R-410A"),
        ("Fluido refrigerante R410A", "R-410A"),
        ("Kältemittel R-134a", "R-134a"),
        ("refrig. 404A", "R-404A"),
        ("the 410a", "R-410A"),
        ("R-404A charge", "R-404A"),
        ("carbon dioxide gas", "R-744"),
        ("R-717 (ammonia)", "R-717"),
        ("R 290 propane", "R-290"),
        ("propane (R-290)", "R-290"),
        ("carbon dioxide R744", "R-744"),
        ("R22 (HCFC)", "R-22"),
        ("R-410A (HFC) gas", "R-410A"),
    ],
)
def test_everyday_words_round_a_designation_do_not_count(name: str, designation: str) -> None:
    assert resolve(name) == designation


@pytest.mark.parametrize(
    "name",
    [
        "gas",
        "refrigerant",
        "R-290 (ammonia)",
        "R-22 (HFC)",
        "R-410A replacement",
        "blend for R-22",
        "R-22 (main)",
        "R-22 gas 410a",
    ],
)
def test_words_that_say_something_are_not_left_out(name: str) -> None:
    with pytest.raises(NotServedError):
        resolve(name)


def test_a_word_that_is_no_name_leaves_the_near_ones() -> None:
    with pytest.raises(NotServedError) as refused:
        resolve("R-410A blend")
    assert "R-410A" in refused.value.near


def test_a_number_with_an_everyday_word_is_refused_with_its_candidates() -> None:
    with pytest.raises(NotServedError, match="several") as refused:
        resolve("refrigerant 407")
    assert "R-407C" in refused.value.near


@pytest.mark.parametrize("name", ["R-32 50% R-125 50%", "R-32/125 (50/50 wt%)"])
def test_shares_written_otherwise_are_refused_with_the_way_to_write_them(name: str) -> None:
    with pytest.raises(NotServedError, match=r"R-32/125 \(60/40\)"):
        resolve(name)
