"""Mass balance and ranking."""

import math
from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest

from witnessmark.calculations.metrology.uncertainty import Measured
from witnessmark.cleanup.components import part_ids
from witnessmark.cleanup.debris_balance import BrokenPart, DebrisCase, balance
from witnessmark.cleanup.debris_places import DebrisCircuit, Fragment, PlaceOnPath
from witnessmark.cleanup.debris_rules import DEBRIS, materials
from witnessmark.cleanup.job import CleanupJob
from witnessmark.cleanup.plan import plan
from witnessmark.cleanup.severity import Signs
from witnessmark.errors import ConflictError, InputError, OutOfRangeError, UnknownNameError
from witnessmark.reference import caution, source
from witnessmark.vocabulary import Plant, words

SCROLL = BrokenPart("fixed scroll", Measured(1.850, 0.010), "cast-iron", Measured(1.620, 0.002))
PIECES = (
    Fragment(Measured(0.112, 0.002), "cast-iron", largest=0.045, smallest=0.006),
    Fragment(Measured(0.031, 0.002), "cast-iron", count=14, largest=0.012, smallest=0.004),
)
CIRCUIT = DebrisCircuit("R-410A", 277.6, 318.15, "heat-pump", mass_flow=0.17)
CASE = DebrisCase((SCROLL,), PIECES, CIRCUIT)


def test_masses_and_quadrature() -> None:
    made = balance(CASE)
    assert made.unaccounted.value == pytest.approx(1.850 - 1.620 - 0.112 - 0.031)
    assert made.unaccounted.uncertainty == pytest.approx(math.sqrt(0.010**2 + 3 * 0.002**2))
    assert made.low == pytest.approx(made.unaccounted.value - 2 * made.unaccounted.uncertainty)
    assert made.verdict == "fragments are missing"
    assert "still in the circuit" in made.statement


def test_the_interval_agrees_with_random_draws() -> None:
    """10^5 draws: 95 % interval within 5 % in width."""
    generator = np.random.default_rng(7)
    parts = [(1.850, 0.010), (-1.620, 0.002), (-0.112, 0.002), (-0.031, 0.002)]
    drawn = sum(generator.normal(mean, width, 100_000) for mean, width in parts)
    low, high = np.quantile(drawn, [0.0228, 0.9772])
    made = balance(CASE)
    assert made.high - made.low == pytest.approx(float(high - low), rel=0.05)


@pytest.mark.parametrize(
    ("found", "verdict", "says"),
    [
        (0.10, "fragments are missing", "still in the circuit"),
        (0.225, "fragments may be missing", "may still be in the circuit"),
        (0.40, "weights contradict each other", "may still be in the circuit"),
    ],
)
def test_verdicts_never_say_that_all_is_found(found: float, verdict: str, says: str) -> None:
    made = balance(replace(CASE, fragments=(Fragment(Measured(found, 0.002), "cast-iron"),)))
    assert made.verdict == verdict
    assert says in made.statement
    assert "fragments-may-remain" in made.notes.cautions


def test_the_largest_piece_that_weights_can_hide() -> None:
    made = balance(CASE)
    sphere = math.pi / 6 * made.hidden_size**3 * 7200
    assert sphere == pytest.approx(made.high)


def test_materials_are_balanced_apart() -> None:
    """Too much aluminium does not make up for missing iron."""
    parts = (SCROLL, BrokenPart("Oldham ring", Measured(0.080, 0.001), "aluminium"))
    pieces = (*PIECES, Fragment(Measured(0.160, 0.001), "aluminium"))
    made = balance(DebrisCase(parts, pieces))
    assert [m.verdict for m in made.materials] == ["fragments are missing", "weights contradict each other"]
    assert made.verdict == "fragments are missing"
    assert made.places == ()


def test_contradiction_stands_where_nothing_is_missing() -> None:
    parts = (BrokenPart("ring", Measured(0.080, 0.001), "aluminium"), BrokenPart("pin", Measured(0.02, 0.001), "steel"))
    pieces = (Fragment(Measured(0.160, 0.001), "aluminium"), Fragment(Measured(0.0195, 0.001), "steel"))
    assert balance(DebrisCase(parts, pieces)).verdict == "weights contradict each other"


def test_metal_of_another_part_is_named_and_not_counted() -> None:
    made = balance(replace(CASE, fragments=(*PIECES, Fragment(Measured(0.05, 0.001), "copper"))))
    foreign = made.materials[-1]
    assert (foreign.material, foreign.verdict, foreign.foreign) == ("copper", "belongs to another part", True)
    assert made.unaccounted == balance(CASE).unaccounted
    assert any("copper" in text for text in made.notes.assumptions)


def test_sizes_like_those_found_that_still_fit() -> None:
    """The 112 g piece is heavier than all that is missing (at most 108 g): only the small ones are followed."""
    made = balance(CASE)
    assert [round(size.largest, 4) for size in made.sizes] == [0.012]
    assert made.sizes[0].origin == "found"


def test_sizes_not_measured_are_taken_from_mass() -> None:
    heap = Fragment(Measured(0.031, 0.002), "cast-iron", count=14)
    (size,) = balance(replace(CASE, fragments=(heap,))).sizes
    assert size.smallest == pytest.approx(size.diameter / 2)
    assert size.largest == pytest.approx(size.diameter * 2)


def test_a_spread_of_sizes_where_none_was_found() -> None:
    made = balance(replace(CASE, fragments=()))
    assert {size.origin for size in made.sizes} == {"assumed"}
    assert made.sizes[-1].diameter == pytest.approx(made.hidden_size)
    assert any("spread of sizes" in text for text in made.notes.assumptions)


def test_small_losses_are_followed_in_small_sizes_only() -> None:
    pin = BrokenPart("pin", Measured(0.0010, 0.00001), "steel", Measured(0.0009, 0.00001))
    made = balance(DebrisCase((pin,), (), CIRCUIT))
    assert max(size.diameter for size in made.sizes) < 4e-3


def test_nothing_can_be_missing_where_weights_exceed() -> None:
    made = balance(replace(CASE, fragments=(Fragment(Measured(0.40, 0.002), "cast-iron"),)))
    assert (made.hidden_size, made.sizes, made.places) == (0.0, (), ())


def test_shares_add_up_and_rank() -> None:
    made = balance(CASE)
    shares = [ranked.share for ranked in made.places]
    assert sum(shares) == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)
    assert made.places[0].place.id == "muffler"


def test_fine_dust_settles_in_the_receiver_or_ends_in_the_drier() -> None:
    """0.1 mm dust flies through the gas lines; slow liquid drops it, and nothing visible passes the drier."""
    dust = Fragment(Measured(0.001, 0.0005), "cast-iron", count=100_000, largest=1.4e-4, smallest=1e-4)
    made = balance(replace(CASE, fragments=(dust,), circuit=replace(CIRCUIT, plant="cooling-only")))
    by_id = {ranked.place.id: ranked.share for ranked in made.places}
    assert by_id["shell"] + by_id["receiver"] + by_id["liquid-drier"] == pytest.approx(1.0)
    assert by_id["liquid-drier"] > 0.1


@pytest.mark.parametrize("plant", words(Plant))
def test_balance_and_plan_say_the_same_of_every_place(plant: Plant) -> None:
    """Two answers about one accumulator must not differ; the plan is asked with clear oil and a shattered set."""
    made = balance(replace(CASE, circuit=replace(CIRCUIT, plant=plant)))
    signs = Signs(Measured(0.0), "negative", Measured(1.0), None, "none", "none", debris=frozenset({"metal-fragments"}))
    start = datetime.fromisoformat("2026-06-01T08:00")
    job = CleanupJob("R-410A", 277.6, "POE", start, "UTC", plant=plant, parts=part_ids(), signs=signs)
    planned = {work.part.id: work.action for work in plan(job).parts}
    for ranked in made.places:
        if ranked.place.part is None:
            assert ranked.place.id in {"shell", "new-compressor"}
            assert ranked.place.action is None
        else:
            assert ranked.place.action == planned[ranked.place.part]
    for place in DEBRIS().place.values():
        assert "replace" not in place.look.lower()


def test_own_places_with_own_gaps() -> None:
    places = (PlaceOnPath("shell"), PlaceOnPath("check-valve", opening=0.05), PlaceOnPath("suction-strainer"))
    made = balance(replace(CASE, circuit=replace(CIRCUIT, places=places)))
    shares = {ranked.place.id: ranked.share for ranked in made.places}
    assert shares == pytest.approx({"suction-strainer": 0.7, "shell": 0.3, "check-valve": 0.0, "new-compressor": 0.0})


def test_a_path_that_names_its_end_twice_has_it_once() -> None:
    places = (PlaceOnPath("new-compressor"), PlaceOnPath("shell"))
    made = balance(replace(CASE, circuit=replace(CIRCUIT, places=places)))
    assert sorted(ranked.place.id for ranked in made.places) == ["new-compressor", "shell"]


def test_a_place_that_comes_twice_on_the_way_has_a_share_each_time() -> None:
    places = (PlaceOnPath("check-valve", opening=0.005), PlaceOnPath("check-valve", opening=0.001))
    made = balance(replace(CASE, circuit=replace(CIRCUIT, places=places)))
    assert sum(ranked.share for ranked in made.places) == pytest.approx(1.0)
    assert [ranked.share for ranked in made.places] == pytest.approx([0.5, 0.5, 0.0])


def test_the_callers_bore_and_opening_come_first() -> None:
    places = (PlaceOnPath("check-valve", bore=0.02, opening=0.001), PlaceOnPath("reversing-valve"))
    made = balance(replace(CASE, circuit=replace(CIRCUIT, places=places)))
    found = {ranked.place.id: (ranked.place.bore, ranked.place.opening) for ranked in made.places}
    assert found["check-valve"] == (0.02, 0.001)
    assert found["reversing-valve"] == (0.016, 0.008)


def test_a_piece_as_heavy_as_all_that_may_be_missing_is_followed() -> None:
    broken = BrokenPart("pin", Measured(1.0), "steel", Measured(0.5))
    for mass, origin in ((0.25, "found"), (0.2501, "assumed")):
        made = balance(DebrisCase((broken,), (Fragment(Measured(mass), "steel"),), CIRCUIT))
        assert {size.origin for size in made.sizes} == {origin}


def test_what_was_not_given_is_assumed_and_said() -> None:
    bare = balance(replace(CASE, circuit=replace(CIRCUIT, mass_flow=None))).notes.assumptions
    assert any("Mass flow not known" in text for text in bare)
    given = replace(CIRCUIT, discharge_temperature=350.0, liquid_temperature=310.0, suction_superheat=8.0)
    full = balance(replace(CASE, circuit=given)).notes.assumptions
    assert not any("Discharge gas" in text or "Liquid" in text or "superheat" in text for text in full)


def test_cautions_and_sources_exist() -> None:
    made = balance(CASE)
    assert [caution(key).id for key in made.notes.cautions]
    assert [source(key).id for key in made.notes.sources]


@pytest.mark.parametrize(
    ("circuit", "field"),
    [
        (replace(CIRCUIT, evaporating_temperature=20.0), "circuit.evaporating_temperature"),
        (replace(CIRCUIT, condensing_temperature=500.0), "circuit.condensing_temperature"),
        (replace(CIRCUIT, discharge_temperature=300.0), "circuit.discharge_temperature"),
        (replace(CIRCUIT, liquid_temperature=20.0), "circuit.liquid_temperature"),
        (replace(CIRCUIT, suction_superheat=1000.0), "circuit.suction_superheat"),
    ],
)
def test_temperatures_off_the_curves_name_their_field(circuit: DebrisCircuit, field: str) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        balance(replace(CASE, circuit=circuit))
    assert caught.value.field == field


def test_sizes_and_temperatures_that_contradict() -> None:
    turned = replace(PIECES[0], largest=0.006, smallest=0.045)
    with pytest.raises(ConflictError) as sizes:
        balance(replace(CASE, fragments=(PIECES[1], turned)))
    assert sizes.value.fields == ("fragments.1.largest", "fragments.1.smallest")
    with pytest.raises(ConflictError) as circuit:
        balance(replace(CASE, circuit=replace(CIRCUIT, condensing_temperature=270.0)))
    assert circuit.value.fields[0] == "circuit.condensing_temperature"


def test_names_are_checked() -> None:
    with pytest.raises(InputError) as empty:
        balance(DebrisCase((), ()))
    assert empty.value.field == "parts"
    with pytest.raises(UnknownNameError) as part:
        balance(replace(CASE, parts=(replace(SCROLL, material="mithril"),)))
    assert (part.value.field, part.value.near) == ("parts.0.material", materials())
    with pytest.raises(UnknownNameError) as piece:
        balance(replace(CASE, fragments=(replace(PIECES[0], material="mithril"),)))
    assert piece.value.field == "fragments.0.material"
    with pytest.raises(UnknownNameError) as place:
        balance(replace(CASE, circuit=replace(CIRCUIT, places=(PlaceOnPath("attic"),))))
    assert place.value.field == "circuit.places.0.id"


def test_a_fragment_as_large_as_it_is_small_is_no_conflict() -> None:
    cube = replace(PIECES[0], mass=Measured(0.0015, 1e-5), largest=0.006, smallest=0.006)
    assert balance(replace(CASE, fragments=(cube, *PIECES[1:]))).verdict


@pytest.mark.parametrize(
    ("material", "grams", "count", "largest", "fits"),
    [
        ("steel", 50.0, 1, 3e-3, False),
        ("cast-iron", 112.0, 1, 6e-3, False),
        ("copper", 20.0, 1, 2e-3, False),
        ("steel", 0.2, 1, 3e-3, True),
        ("steel", 50.0, 1, 30e-3, True),
        ("steel", 10.0, 60, 3e-3, True),
    ],
)
def test_a_piece_heavier_than_its_size_can_be(
    material: str,
    grams: float,
    count: int,
    largest: float,
    fits: bool,  # noqa: FBT001
) -> None:
    """50 g of steel in one piece of 3 mm: a cube of it weighs 0.2 g. Millimetres were centimetres, or pieces many."""
    part = BrokenPart("part", Measured(0.3), material, Measured(0.1))
    case = DebrisCase((part,), (Fragment(Measured(1e-3 * grams, 1e-5), material, count, largest),))
    if fits:
        balance(case)
        return
    with pytest.raises(ConflictError, match="weighs at most"):
        balance(case)


def test_a_part_without_remains_says_that_all_of_it_counts() -> None:
    found = balance(DebrisCase((BrokenPart("reed", Measured(0.01), "steel"),), ()))
    assert any("reed: nothing was said of what is left" in note for note in found.notes.assumptions)
