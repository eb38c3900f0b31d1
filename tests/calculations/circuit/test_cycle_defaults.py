"""Stand-ins for readings that were not taken."""

from witnessmark.calculations.circuit.cycle_defaults import stand_in, stand_ins


def test_each_is_wide_and_usual() -> None:
    assert stand_ins().keys() == {"superheat", "subcooling"}
    for name in stand_ins():
        found = stand_in(name)
        assert 0 < found.uncertainty <= found.value <= 15
