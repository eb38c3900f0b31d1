"""Mass balance of water and acid."""

import pytest

from witnessmark.cleanup.contaminants import acid_load, cores_for, excess_water, koh_equivalent


def test_excess_water() -> None:
    assert excess_water(2.0, 250e-6, 50e-6) == pytest.approx(4e-4)
    assert excess_water(2.0, 20e-6, 50e-6) == 0.0


def test_acid_of_one_gram_of_oil_at_number_one_is_a_milligram_of_koh() -> None:
    assert acid_load(1e-3, 1.0, 0.0) == pytest.approx(1e-6)
    assert acid_load(1.0, 0.01, 0.05) == 0.0


def test_equivalents_are_ratios_of_molar_mass() -> None:
    assert koh_equivalent(56.1056, "KOH") == pytest.approx(56.1056)
    assert koh_equivalent(36.461, "HCl") == pytest.approx(56.1056)
    assert koh_equivalent(282.468, "oleic") == pytest.approx(56.1056)


@pytest.mark.parametrize(
    ("load", "capacity", "cores"),
    [(0.0, None, 0), (0.01, None, None), (0.01, 0.0, None), (0.01, 0.02, 1), (0.0101, 0.02, 2), (0.1, 0.02, 10)],
)
def test_cores_count_on_half_of_the_rated_capacity(load: float, capacity: float | None, cores: int | None) -> None:
    assert cores_for(load, capacity) == cores
