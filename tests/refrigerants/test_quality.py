from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.refrigerants.quality import Partners

RATIOS = st.floats(0.75, 1.15)


@given(RATIOS, RATIOS, st.floats(0.0, 1.0))
def test_both_ways(vapour: float, liquid: float, molar: float) -> None:
    partners = Partners(vapour, liquid)
    assert partners.molar_quality(partners.mass_quality(molar)) == pytest.approx(molar, abs=1e-9)


@given(RATIOS, RATIOS)
def test_ends_and_their_slopes_keep_the_mass_balance(vapour: float, liquid: float) -> None:
    partners, step = Partners(vapour, liquid), 1e-6
    assert partners.mass_quality(0.0) == 0.0
    assert partners.mass_quality(1.0) == pytest.approx(1.0, abs=1e-12)
    assert partners.mass_quality(step) / step == pytest.approx(vapour, abs=1e-5)  # the first vapour
    assert (1.0 - partners.mass_quality(1.0 - step)) / step == pytest.approx(liquid, abs=1e-5)  # the last liquid


@given(st.floats(0.0, 1.0))
def test_a_single_substance_has_one_quality(molar: float) -> None:
    assert Partners(1.0, 1.0).mass_quality(molar) == pytest.approx(molar, abs=1e-15)
