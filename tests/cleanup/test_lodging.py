"""Where one size stops."""

from typing import get_args

import pytest

from witnessmark.cleanup.components import Plant
from witnessmark.cleanup.lodging import Held, Place, SizeClass, Stream, carry_band, place, place_ids, usual_path, walk
from witnessmark.cleanup.tables import table

GAS = Stream(100.0, (10e-6, 16e-6), 0.1)
STREAMS = {"discharge": GAS, "suction": GAS, "liquid": Stream(1000.0, (80e-6, 300e-6), 0.1)}
GRAIN = SizeClass(3e-3, 2e-3, 5e-3, 7200.0, 1.0, "found")


def at(bore: float | None, opening: float | None) -> Place:
    return Place("here", "Here", "discharge", bore, opening, "look", "cleanup-estimate")


@pytest.mark.parametrize(
    ("bore", "opening", "held"),
    [
        (0.01, 0.002, "cannot pass"),
        (0.01, 0.004, "may pass lengthwise"),
        (0.01, 0.006, "passes"),
        (0.15, None, "not carried"),
        (0.15, 0.004, "not carried"),
        (0.025, None, "may settle"),
        (None, None, "passes"),
        (None, 0.004, "may pass lengthwise"),
    ],
)
def test_how_a_place_holds_a_grain(bore: float | None, opening: float | None, held: Held) -> None:
    (passage,) = walk(GRAIN, [at(bore, opening)], STREAMS)
    assert passage.held == held
    assert passage.stays == table("debris")["stay"][held]


def test_without_a_flow_only_gaps_decide() -> None:
    still = {"discharge": Stream(100.0, (10e-6, 16e-6), None)}
    (passage,) = walk(GRAIN, [at(0.15, None)], still)
    assert (passage.held, passage.velocity) == ("passes", None)


def test_what_stays_is_taken_from_what_arrives() -> None:
    places = [at(0.15, None), at(0.15, None), at(0.01, 0.001), at(0.15, None)]
    stays = [passage.stays for passage in walk(GRAIN, places, STREAMS)]
    assert stays == pytest.approx([0.8, 0.16, 0.04, 0.0])


def test_some_never_leaves_the_shell() -> None:
    (passage,) = walk(GRAIN, [place("shell")], STREAMS)
    assert passage.stays == table("debris")["stay"]["shell"]
    assert passage.carry_low is None


def test_velocity_is_flow_over_area() -> None:
    assert GAS.velocity(0.02) == pytest.approx(0.1 / (100.0 * 3.141592653589793e-4))


def test_the_carry_band_runs_from_flake_to_grain() -> None:
    low, high = carry_band(GRAIN, GAS)
    assert 0 < low < high


def test_the_callers_bore_and_opening_come_first() -> None:
    own = place("check-valve", bore=0.02, opening=0.001)
    usual = place("check-valve")
    assert (own.bore, own.opening) == (0.02, 0.001)
    assert (usual.bore, usual.opening) == (0.016, 0.003)


@pytest.mark.parametrize("plant", get_args(Plant))
def test_paths_begin_in_the_shell_and_end_in_the_new_compressor(plant: str) -> None:
    path = usual_path(plant)
    assert (path[0], path[-1]) == ("shell", "new-compressor")
    assert set(path) <= set(place_ids())
