"""Figures by which readings are told apart."""

import pytest

from witnessmark.diagnosis.evidence.reading_rules import RULES, Band
from witnessmark.reference import source


def test_how_far_a_ratio_lies_outside_of_its_band() -> None:
    band = Band(low=0.9, high=1.2, source="common-practice")
    assert band.beyond(1.0) == 0
    assert band.beyond(0.7) == pytest.approx(0.2)
    assert band.beyond(1.5) == pytest.approx(0.3)


def test_every_figure_has_its_source() -> None:
    for name in type(RULES()).model_fields:
        assert source(getattr(RULES(), name).source)
