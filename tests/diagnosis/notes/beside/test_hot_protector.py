"""Open readings on a hot shell. Worst: a compressor is condemned while its protector waits to close again.

The protector of a hermetic motor sits in the common lead (single-phase) or in the star point (three-phase; common
practice).
"""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.case import Case, Fluid, Machine
from witnessmark.diagnosis.dispatching import dispatch_call
from witnessmark.diagnosis.notes.matching import read_note

ONE = Machine("reciprocating", construction="hermetic", phases="single-phase")
THREE = Machine("scroll", construction="hermetic", phases="three-phase")
WINDINGS = {"winding-open", "start-winding-open"}


@pytest.mark.parametrize(
    ("machine", "note"),
    [
        (ONE, "open from common to both, start to run reads 6 ohm, dome is scalding"),
        (ONE, "S-R 5.1 ohms, nothing from common, the can is boiling hot"),
        (ONE, "C-S open, C-R open, S-R 7 ohms and the shell is too hot to touch"),
        (THREE, "no continuity on any of the three legs, compressor is boiling hot"),
        (THREE, "T1-T2 OL, T2-T3 OL, T1-T3 OL, shell hot"),
        (THREE, "windings read open, it just tripped"),
    ],
)
def test_open_on_a_hot_shell_is_the_protector_and_cools_first(machine: Machine, note: str) -> None:
    told = {match.finding for match in read_note(note, machine).matches}
    assert "protector-open-hot" in told
    assert not told & WINDINGS
    sent = dispatch_call(Case(machine, fluid=Fluid(flammable=True, toxic=False)), note)
    assert [h.id for h in sent.likely if h.id == "start-winding-failure"] == []
    steps = [step for step in sent.advice.for_technician if not step.startswith("Do not")]
    assert "let the shell cool" in steps[0]
    assert "never bridge" in steps[0]
    assert any("no flame and no spark" in step for step in steps)
    assert all(part.when != "order" for part in sent.advice.parts)


def test_of_a_shell_of_unknown_heat_it_is_left_open() -> None:
    (match,) = read_note("infinity common to run and common to start; 7.1 ohms between start and run", ONE).matches
    assert (match.finding, match.state) == ("protector-open-hot", "unknown")


@pytest.mark.parametrize(
    ("machine", "note"),
    [
        (ONE, "common to run 1.6, common to start open, start to run open, shell hot"),
        (THREE, "windings read open, compressor is cold, off since yesterday"),
        (THREE, "windings open, has cooled all night"),
        (THREE, "motor has an open winding"),
    ],
)
def test_what_conducts_from_common_or_is_cold_is_no_hot_protector(machine: Machine, note: str) -> None:
    told = {match.finding for match in read_note(note, machine).matches}
    assert told & WINDINGS
    assert "protector-open-hot" not in told
