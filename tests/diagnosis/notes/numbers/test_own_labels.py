"""Numbers belong to their label: volts and plain ohms to ground, a vacuum that rises, terminals, three legs."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import match
from witnessmark.diagnosis.notes.numbers import fields_of, misheard, numbers_in


def states(text: str) -> dict[str, str]:
    return {m.finding: m.state for m in match(text)}


@pytest.mark.parametrize(
    ("text", "finding", "state"),
    [
        # ohms of an ohmmeter are no megohms
        ("ohms to ground = 1", "insulation-low", "present"),
        ("ohms to ground 3", "insulation-low", "present"),
        ("resistance to ground 12", "insulation-low", "present"),
        ("to ground 40 on the multimeter", "insulation-low", "present"),
        ("resistance from winding to earth 8", "insulation-low", "present"),
        ("continuity to ground on S", "insulation-low", "present"),
        ("no continuity to ground", "insulation-low", "absent"),
        ("80 M to earth", "insulation-low", "absent"),
        ("over a gig to ground", "insulation-low", "absent"),
        ("ohms to ground OL", "insulation-low", "absent"),
        ("ohms to ground infinite", "insulation-low", "absent"),
        ("insulation resistance to ground 200", "insulation-low", "absent"),
        ("windings 1.1 1.1 1.1 ohm, to ground 500", "insulation-low", "absent"),
        ("volts ok, to ground 0", "insulation-low", "present"),
        # a leg that is dead beside live ones
        ("120 on each leg to ground, 0 across L1 L2", "phase-missing", "present"),
        ("240 V to ground on L1, 0 on L2", "phase-missing", "present"),
        ("lost a leg", "phase-missing", "present"),
        ("only 2 legs have voltage", "phase-missing", "present"),
        ("only two legs hot", "phase-missing", "present"),
        ("amps 0 on L3, compressor still running hot", "phase-missing", "present"),
        ("A phase 12A, B phase 25A, C phase 24A", "current-unbalance", "present"),
        ("208-230-231 V", "voltage-unbalance", "present"),
        ("L1-N 120 L2-N 120 L1-L2 240", "voltage-unbalance", "absent"),
        ("208/240/208 high leg", "voltage-unbalance", "unknown"),
        # what it rose to counts
        ("pulled a vac to 400 microns, valved off, climbed to 1800 in 10 minutes", "vacuum-not-proven", "present"),
        ("Pulled to 400 microns. Valved off, climbed to 1800 in 10 min", "vacuum-not-proven", "present"),
        ("vac at 500 micron rises to 2500 in 5 min", "vacuum-not-proven", "present"),
        ("vacuum 400 microns rising to 3000", "vacuum-not-proven", "present"),
        ("vacuum 400 microns and rising", "vacuum-not-proven", "present"),
        ("valved off at 400, 1800 after 10 minutes", "vacuum-not-proven", "present"),
        ("micron gauge 350 after 30 min hold, started at 300", "vacuum-not-proven", "absent"),
        ("450 microns after the hold, started at 2000 microns vacuum", "vacuum-not-proven", "absent"),
        ("dropped from 300 psi to 240 overnight", "charge-short", "present"),
        # single-phase windings
        ("C-R open, C-S open, R-S 5.2", "protector-open-hot", "unknown"),
        ("C-S 2.9 C-R 1.1 S-R 2.1 single phase", "winding-resistances-unequal", "unknown"),
        ("all windings OL hot compressor", "protector-open-hot", "present"),
        # now and before
        ("insulation was 0.2 meg now 200 meg after drying", "insulation-low", "absent"),
        ("insulation was 200 meg now 0.2 meg", "insulation-low", "present"),
        ("tan 0.04, was .4", "acid-test-positive", "absent"),
        ("megger 50 now, was 0.3", "insulation-low", "absent"),
        ("megger 0.3 now, was 50", "insulation-low", "present"),
        ("tan 0.4, was .04", "acid-test-positive", "present"),
        ("SH not 2F but 12F", "suction-superheat", "normal"),
        ("1.2 megohm cold, .5 hot", "insulation-low", "present"),
        ("megohm 0.5 hot 1.2 cold", "insulation-low", "present"),
        ("discharge temp 118", "discharge-temperature-high", "unknown"),
        ("discharge line 180", "discharge-temperature-high", "unknown"),
        ("discharge temp 118 C", "discharge-temperature-high", "present"),
        ("recovered 54 % of nameplate", "charge-short", "present"),
        ("oil level nil in sightglass", "oil-quantity", "low"),
        ("oil glass empty", "oil-quantity", "low"),
        ("oil not in glass", "oil-quantity", "low"),
        ("no oil in compressor", "oil-quantity", "low"),
        ("cap good, relay good, windings good, still no start", "will-not-start", "present"),
    ],
)
def test_what_is_told(text: str, finding: str, state: str) -> None:
    assert states(text).get(finding) == state


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("460 460 460 to ground 266 266 266", "insulation-low"),
        ("volts to ground 266 all legs", "insulation-low"),
        ("voltage L1 to ground 0", "insulation-low"),
        ("480 to ground on all three", "insulation-low"),
        ("valved off at 400, 1800 after 10 minutes", "trips-after-minutes"),
        ("pressure test: went from 300 psi to 297 overnight", "charge-short"),
        ("CS 3.2 CR 0.9 SR 4.1", "compression-ratio-high"),
        ("CS 4.1 CR 1.0 RS 5.2", "compression-ratio-high"),
        ("CS 4.1 CR 1.0 RS 5.2", "winding-resistances-unequal"),
        ("head temp 225", "condensing-pressure"),
        ("recovered 54 % of nameplate", "charge-over"),
        ("volts 240 V to ground L1, 238 to ground L2", "phase-missing"),
    ],
)
def test_what_is_not_told(text: str, finding: str) -> None:
    assert states(text).get(finding) in {None, "unknown"}


def test_a_number_of_its_own_keeps_a_finding() -> None:
    assert "compression-ratio-high" in misheard(numbers_in("CS 3.2 CR 0.9 SR 4.1"))
    assert not misheard(numbers_in("compression ratio 11"))


def test_a_protector_that_may_be_open_leaves_the_windings_open() -> None:
    """Neither hot nor cold was told: nothing is certain."""
    assert set(states("C-S OL, C-R OL, S-R 6.4 ohm").values()) == {"unknown"}


def test_a_ratio_alone_is_no_winding() -> None:
    (ratio,) = numbers_in("CR 11")
    assert ratio.quantity == "compression-ratio"


def test_a_date_and_a_span_are_no_three_numbers() -> None:
    assert numbers_in("volts 480-12-11") == () or all(len(n.values) < 3 for n in numbers_in("volts 480-12-11"))
    (span,) = numbers_in("superheat 2-4 K")
    assert span.span


@pytest.mark.parametrize(
    "text",
    [
        "MT suct 28 bar, GC out 34C, HP 92 bar",
        "suction 28 bar gas cooler outlet 34 C",
        "suct 30 psi, drain pan temp 50F",
        "low side 62 psi, chilled water return 54F",
        "disch 231 psi, box wall 50F",
        "baja 28 bar, salida del gas cooler 34C",
    ],
)
def test_a_temperature_with_words_of_its_own_takes_no_label_of_a_pressure(text: str) -> None:
    found = fields_of(numbers_in(text))
    assert not {name for name in found if name.endswith("_temperature")}
    assert {name for name in found if name.endswith("_pressure")}


@pytest.mark.parametrize("text", ["suct 68 psi, line temp 55F", "suction 4.2 bar, 13C at bulb", "suct 68 psi 55F"])
def test_a_temperature_behind_its_pressure_keeps_the_label(text: str) -> None:
    assert "suction_temperature" in fields_of(numbers_in(text))


def test_a_gas_cooler_is_no_cooler_that_is_warm() -> None:
    assert "capacity-low" not in {m.finding for m in match("baja 28 bar, salida del gas cooler 34C, alta 92 bar")}
    assert "capacity-low" in {m.finding for m in match("cooler 60F, gas cooler out 34C")}
