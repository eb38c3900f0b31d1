"""What is worked out of two numbers of one note: oil over suction, a rise after a pump-down, what is left of a fill."""

from __future__ import annotations

from witnessmark.diagnosis.notes.matching import NoteReading, read_note

OUNCE = 29.5735296e-6  # of the United States, m3 (NIST Handbook 44, appendix C)


def states(text: str) -> dict[str, str]:
    return {match.finding: match.state for match in read_note(text).matches}


def read(text: str) -> NoteReading:
    return read_note(text)


def test_oil_pressure_is_what_its_gauge_reads_above_the_suction_in_one_unit() -> None:
    """60 psi less 20 psi are 40 psi; of psi and bar nothing is worked out."""
    (net,) = read("oil gauge 60 psi, suction 20 psi").readings["net_oil_pressure"]
    assert abs(net - 40 * 6894.757) < 1.0
    assert "net_oil_pressure" not in read("oil gauge 60 psi, suction 2 bar").readings


def test_what_rises_at_once_after_a_pump_down_was_not_pumped_down() -> None:
    assert states("pumped to 3 psig, back to 45 psig in 30 sec")["pump-down-fails"] == "present"


def test_of_an_oil_charge_that_was_drained_both_numbers_are_oil() -> None:
    found = read("drained 38 oz clear oil of 40 charge").readings
    assert abs(found["oil_drained"][0] / OUNCE - 38) < 1e-3
    assert abs(found["oil_due"][0] / OUNCE - 40) < 1e-3


def test_twice_the_rating_is_a_share_of_it() -> None:
    assert read("pulls twice the RLA").shares == {"current-over-rated": (2.0,)}


def test_until_now_in_front_of_a_denial_turns_it() -> None:
    assert states("until now no smoke") == {"smoke-seen": "absent"}
