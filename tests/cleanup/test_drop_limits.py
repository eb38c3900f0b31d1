"""Limits of the drop across a suction core: table, extension, maker, penalty."""

import pytest
from scipy.constants import convert_temperature
from tests.cleanup.units import PSI, kelvin

from witnessmark.cleanup.drop_limits import (
    DROP_LIMITS,
    LARGEST_LIMIT,
    Installation,
    _rise_by_drop,
    drop_for_penalty,
    drop_limit,
    penalty,
)
from witnessmark.cleanup.notes import Notes
from witnessmark.errors import InputError, OutOfRangeError, UnknownNameError
from witnessmark.reference import source
from witnessmark.refrigerants import saturation

DOCUMENT = "Guide 7, page 2"


def test_the_smallest_of_table_and_extension_decides() -> None:
    """R-134a at -40 degF: 3/4 psi is printed, 6 degF of loss would allow more."""
    found = drop_limit("R-134a", kelvin(-40), "temporary")
    assert found.drop == pytest.approx(0.75 * PSI)
    assert found.source == "cleanup-temporary-table"
    assert [c.drop for c in found.candidates] == sorted(c.drop for c in found.candidates)
    assert found.drop == min(c.drop for c in found.candidates if c.decides)
    assert any(c.source == "cleanup-equal-penalty" and c.drop > found.drop for c in found.candidates)


def test_overlapping_printed_ranges_give_the_smaller() -> None:
    """30 degF is in 'high' (8 psi) and 'medium' (4 psi)."""
    found = drop_limit("R-22", kelvin(30), "temporary")
    printed = [c.drop / PSI for c in found.candidates if c.source == "cleanup-temporary-table"]
    assert sorted(round(p, 6) for p in printed) == [4.0, 8.0]
    assert found.drop <= 4.0 * PSI * (1 + 1e-12)


def test_a_stricter_memory_is_kept_and_shown_as_such() -> None:
    """R-22 at -10 degF: printed 3 psi, remembered 2.5 psi between 2 psi at -20 and 4 psi at 20 degF."""
    found = drop_limit("R-22", kelvin(-10), "temporary")
    assert found.drop == pytest.approx(2.5 * PSI)
    assert found.source == "cleanup-drier-table-memory"
    assert source(found.source).trust == "memory"


def test_where_the_printed_limit_is_stricter_it_decides() -> None:
    """R-22 at -20 degF: printed 1.5 psi (where two ranges meet), remembered 2 psi."""
    assert drop_limit("R-22", kelvin(-20), "temporary").drop == pytest.approx(1.5 * PSI)


def test_a_refrigerant_without_a_table_takes_the_loss_of_those_with_one() -> None:
    found = drop_limit("R-1234yf", kelvin(20), "temporary")
    reference = penalty("R-134a", kelvin(20), 3 * PSI)
    assert found.penalty is not None
    assert found.penalty == pytest.approx(min(reference, penalty("R-22", kelvin(20), 4 * PSI)), rel=1e-9)
    assert found.drop == pytest.approx(drop_for_penalty("R-1234yf", kelvin(20), found.penalty))
    assert found.source == "cleanup-equal-penalty"


@pytest.mark.parametrize("refrigerant", ["R-410A", "R-32", "R-454B", "R-744"])
@pytest.mark.parametrize(("fahrenheit", "temporary", "permanent"), [(40, 8.0, 3.0), (20, 4.0, 2.0), (60, 8.0, 3.0)])
def test_a_refrigerant_above_all_printed_ones_takes_no_more_than_their_row(
    refrigerant: str, fahrenheit: float, temporary: float, permanent: float
) -> None:
    """R-22 is printed: 8, 4 psi temporary, 3, 2 psi permanent at 40 and 20 degF; equal loss alone: 12.6 psi."""
    limits: list[tuple[Installation, float]] = [("temporary", temporary), ("permanent", permanent)]
    for installation, printed in limits:
        found = drop_limit(refrigerant, kelvin(fahrenheit), installation)
        assert found.drop == pytest.approx(printed * PSI)
        decides = next(c for c in found.candidates if c.drop == found.drop)
        assert (decides.neighbour, decides.source) == ("R-22", "cleanup-neighbour")
        assert "no row is printed" in decides.note
        notes = Notes()
        found.quote(notes)
        assert any("neighbour's row decides" in text for text in notes.assumptions)


def test_of_two_neighbours_the_stricter_row_decides() -> None:
    """R-290 lies between R-134a (6 psi) and R-22 (8 psi) in pressure at 40 degF."""
    found = drop_limit("R-290", kelvin(40), "temporary")
    assert found.drop == pytest.approx(6 * PSI)
    assert {c.neighbour for c in found.candidates if c.neighbour} == {"R-134a", "R-22"}


def test_a_printed_row_needs_no_neighbour() -> None:
    found, notes = drop_limit("R-22", kelvin(40), "temporary"), Notes()
    found.quote(notes)
    assert not any(c.neighbour for c in found.candidates)
    assert not notes.assumptions


def test_below_the_table_the_extension_alone_stands() -> None:
    found = drop_limit("R-404A", kelvin(-50), "temporary")
    assert {c.source for c in found.candidates if c.decides} >= {"cleanup-equal-penalty"}
    assert "cleanup-temporary-table" not in {c.source for c in found.candidates}
    assert found.drop <= drop_for_penalty("R-404A", kelvin(-50), 6 / 1.8)


def test_advice_does_not_decide() -> None:
    found = drop_limit("R-410A", kelvin(40), "temporary")
    advice = [c for c in found.candidates if not c.decides]
    assert [c.source for c in advice] == ["cleanup-two-psi"]
    assert advice[0].drop < found.drop


def test_permanent_is_stricter_than_temporary() -> None:
    for name in ("R-22", "R-410A", "R-290"):
        assert drop_limit(name, 277.0, "permanent").drop < drop_limit(name, 277.0, "temporary").drop


def test_above_the_printed_range_the_nearest_printed_row_stands_in() -> None:
    """55 degF is the last printed temperature: beyond it no limit may be looser than there."""
    found = drop_limit("R-134a", kelvin(60), "permanent")
    assert {c.source for c in found.candidates} == {"cleanup-equal-penalty", "cleanup-neighbour"}
    assert found.drop <= drop_limit("R-134a", kelvin(55), "permanent").drop * 1.1
    assert found.drop <= 2 * PSI * (1 + 1e-12)


def test_the_maker_overrides_and_stricter_sources_stay_in_sight() -> None:
    found = drop_limit("R-22", kelvin(40), "temporary", maker=70e3, document=DOCUMENT)
    assert (found.drop, found.source, found.maker_overrides) == (70e3, "maker-limit", True)
    assert any(c.decides and c.drop < 70e3 for c in found.candidates)


@pytest.mark.parametrize("maker", [0.0, -1.0, LARGEST_LIMIT + 1])
def test_a_makers_limit_in_the_wrong_unit_is_refused(maker: float) -> None:
    with pytest.raises(OutOfRangeError) as caught:
        drop_limit("R-22", 277.0, "temporary", maker)
    assert caught.value.field == "maker"


def test_the_largest_limit_of_a_maker_is_taken_and_does_not_count() -> None:
    found = drop_limit("R-22", 277.0, "temporary", LARGEST_LIMIT, DOCUMENT)
    assert (found.drop, found.maker_overrides) == (drop_limit("R-22", 277.0, "temporary").drop, False)
    assert "far beyond" in found.remark
    assert LARGEST_LIMIT == 3e5


def test_a_makers_limit_is_looser_only_where_a_deciding_source_is_stricter() -> None:
    published = [c.drop for c in drop_limit("R-22", 277.0, "temporary").candidates if c.decides]
    for maker, document, cautions in (
        (published[0], "", ()),
        (published[0] * 1.001, "", ("maker-limit-looser",)),
        (published[-1] * 1.001, "", ("maker-limit-unnamed",)),
        (published[-1] * 1.001, DOCUMENT, ("maker-limit-looser",)),
        (published[-1] * 2.001, DOCUMENT, ("maker-limit-far",)),
    ):
        found = drop_limit("R-22", 277.0, "temporary", maker, document).maker
        assert found is not None
        assert found.cautions == cautions


@pytest.mark.parametrize(("fahrenheit", "printed"), [(-40, 0.75), (-20, 0.75), (10, 2.0), (32, 6.0), (55, 6.0)])
def test_both_ends_of_a_printed_range_belong_to_it(fahrenheit: float, printed: float) -> None:
    found = drop_limit("R-134a", kelvin(fahrenheit), "temporary").candidates
    assert any(c.drop == pytest.approx(printed * PSI) for c in found if c.source == "cleanup-temporary-table")


def test_points_end_at_the_last_temperature_of_their_table() -> None:
    at, beyond = (drop_limit("R-134a", kelvin(f), "permanent").candidates for f in (54.999, 55.001))
    assert any(c.source == "cleanup-drier-table-memory" and c.drop == pytest.approx(2 * PSI) for c in at)
    assert not any(c.source == "cleanup-drier-table-memory" for c in beyond)


def test_a_makers_limit_above_the_suction_pressure_is_refused() -> None:
    with pytest.raises(InputError) as caught:
        drop_limit("R-123", 270.0, "temporary", maker=1e5)
    assert caught.value.field == "maker"


def test_printed_figures_mean_nothing_where_half_the_pressure_would_go() -> None:
    found = drop_limit("R-123", 255.0, "temporary")
    assert all(c.drop < saturation.dew_pressure("R-123", 255.0) / 2 for c in found.candidates)
    assert found.rise_over_new.source == "cleanup-one-kelvin"


def test_rise_over_the_new_core_is_one_kelvin_or_five_psi() -> None:
    """One kelvin of R-410A is under 5 psi, one kelvin of R-744 is over it."""
    assert drop_limit("R-410A", 277.0, "temporary").rise_over_new.penalty == 1.0
    carbon = drop_limit("R-744", 277.0, "temporary").rise_over_new
    assert carbon.drop == pytest.approx(5 * PSI)
    assert carbon.penalty is not None
    assert 0 < carbon.penalty < 1


def test_rise_in_psi_has_no_penalty_where_the_pressure_is_too_low_for_it() -> None:
    assert _rise_by_drop("R-123", 255.0).penalty is None


def test_penalty_and_drop_are_each_others_inverse() -> None:
    drop = drop_for_penalty("R-407C", 275.0, 2.5)
    assert penalty("R-407C", 275.0, drop) == pytest.approx(2.5, abs=1e-6)


def test_penalty_is_close_to_the_slope_for_small_drops() -> None:
    assert penalty("R-410A", 277.0, 1000.0) == pytest.approx(1000 / saturation.dew_slope("R-410A", 277.0), rel=0.01)


def test_errors_name_the_field() -> None:
    with pytest.raises(OutOfRangeError) as caught:
        drop_limit("R-22", 500.0, "temporary")
    assert caught.value.field == "evaporating_temperature"
    with pytest.raises(UnknownNameError):
        drop_limit("R-9999", 277.0, "temporary")
    with pytest.raises(InputError) as wrong:
        penalty("R-22", 277.0, 1e6)
    assert wrong.value.field == "drop"


def test_printed_points_hold_up_to_their_last_temperature_itself() -> None:
    """Above it the table says nothing, up to it the last figure holds."""
    for table in DROP_LIMITS().points:
        last = float(convert_temperature(table.up_to, "F", "K"))
        assert table.at(last) == pytest.approx(table.limit[-1] * PSI)
        assert table.at(last + 1e-3) is None
