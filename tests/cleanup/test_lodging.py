"""Where one size stops."""

import pytest

from witnessmark.cleanup.debris_rules import DEBRIS, Lodging, Place, PlaceLine
from witnessmark.cleanup.lodging import FragmentSize, Stream, carry_band, follow

GAS = Stream(100.0, (10e-6, 16e-6), 0.1)
STREAMS: dict[PlaceLine, Stream] = {"discharge": GAS, "suction": GAS, "liquid": Stream(1000.0, (80e-6, 300e-6), 0.1)}
GRAIN = FragmentSize(3e-3, 2e-3, 5e-3, 7200.0, 1.0, "found")


def at(bore: float | None, opening: float | None) -> Place:
    return Place(
        id="here", name="Here", line="discharge", bore=bore, opening=opening, look="look", source="cleanup-estimate"
    )


@pytest.mark.parametrize(
    ("bore", "opening", "lodging"),
    [
        (0.01, 0.002, "cannot pass"),
        (0.01, 0.004, "may pass lengthwise"),
        (0.01, 0.006, "passes"),
        (0.15, None, "not carried"),
        (0.15, 0.004, "not carried"),
        (0.025, None, "may settle"),
        (None, None, "passes"),
        (None, 0.004, "may pass lengthwise"),
        (None, 0.005, "may pass lengthwise"),  # the largest dimension itself
        (None, 0.0050001, "passes"),
        (None, 0.0020001, "may pass lengthwise"),
    ],
)
def test_how_a_place_holds_a_grain(bore: float | None, opening: float | None, lodging: Lodging) -> None:
    (passage,) = follow(GRAIN, [at(bore, opening)], STREAMS)
    assert passage.lodging == lodging
    assert passage.stays == DEBRIS().stay.value[lodging]


def test_without_a_flow_only_gaps_decide() -> None:
    still: dict[PlaceLine, Stream] = {"discharge": Stream(100.0, (10e-6, 16e-6), None)}
    (passage,) = follow(GRAIN, [at(0.15, None)], still)
    assert (passage.lodging, passage.velocity) == ("passes", None)


def test_what_stays_is_taken_from_what_arrives() -> None:
    places = [at(0.15, None), at(0.15, None), at(0.01, 0.001), at(0.15, None)]
    stays = [passage.stays for passage in follow(GRAIN, places, STREAMS)]
    assert stays == pytest.approx([0.8, 0.16, 0.04, 0.0])


def test_some_never_leaves_the_shell() -> None:
    (passage,) = follow(GRAIN, [DEBRIS().place["shell"]], STREAMS)
    assert passage.stays == DEBRIS().stay.shell == 0.3
    assert passage.carry_low is None


def test_velocity_is_flow_over_area() -> None:
    assert GAS.velocity(0.02) == pytest.approx(0.1 / (100.0 * 3.141592653589793e-4))


def test_the_carry_band_runs_from_flake_to_grain() -> None:
    low, high = carry_band(GRAIN, GAS)
    assert 0 < low < high
