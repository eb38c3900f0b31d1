"""Limits of the maker."""

from witnessmark.cleanup.maker_limits import NO_LIMITS, MakerLimits


def test_limits_of_the_oil_are_those_that_were_set() -> None:
    assert NO_LIMITS.oil == {}
    assert MakerLimits(suction_drop=1e4, acid_number=0.1, colour=0.0).oil == {"acid_number": 0.1, "colour": 0.0}
    assert MakerLimits(water=1e-4).oil == {"water": 1e-4}
