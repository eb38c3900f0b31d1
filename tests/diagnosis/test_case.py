"""A machine in the words of the knowledge: what it does not cover is refused, what it does not tell apart is folded."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.case import MACHINE_WORDS, Fluid, Machine
from witnessmark.errors import InputError, UnknownNameError


@pytest.mark.parametrize(("field", "named"), [("machine", "machine.compressor"), ("", "compressor")])
def test_a_centrifugal_machine_is_refused_with_the_reason(field: str, named: str) -> None:
    with pytest.raises(InputError, match="positive-displacement machines only") as refused:
        Machine("centrifugal").judged(field)
    assert refused.value.field == named
    assert refused.value.accepted == "scroll, reciprocating, rotary, screw"


def test_a_soft_starter_runs_at_fixed_speed() -> None:
    assert Machine("scroll", drive="soft-starter").judged() == Machine("scroll", drive="fixed-speed")
    assert Machine("scroll", drive="inverter").judged() == Machine("scroll", drive="inverter")


def test_every_word_of_the_knowledge_is_taken_and_so_is_not_knowing() -> None:
    assert Machine().judged() == Machine()
    for part, words in MACHINE_WORDS.items():
        for word in words:
            machine = Machine(**{part: word})  # type: ignore[arg-type]
            assert machine.judged() == machine


@pytest.mark.parametrize("part", MACHINE_WORDS)
def test_a_word_of_no_list_is_refused_with_those_that_are(part: str) -> None:
    with pytest.raises(UnknownNameError) as refused:
        Machine(**{part: "steam"}).judged()  # type: ignore[arg-type]
    assert refused.value.field == f"machine.{part}"
    assert refused.value.near == MACHINE_WORDS[part]


@pytest.mark.parametrize(
    ("designation", "fluid"),
    [
        ("R-410A", Fluid(flammable=False, toxic=False)),
        ("R-32", Fluid(flammable=True, toxic=False, slow=True)),
        ("R-290", Fluid(flammable=True, toxic=False)),
        ("R-717", Fluid(flammable=True, toxic=True, slow=True)),
        ("R-123", Fluid(flammable=False, toxic=True)),
    ],
)
def test_what_a_refrigerant_is_dangerous_for(designation: str, fluid: Fluid) -> None:
    """Classes A1, A2L, A3, B2L and B1 of ASHRAE 34."""
    assert Fluid.of(designation) == fluid
