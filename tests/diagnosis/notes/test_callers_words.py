"""Words of callers. Worst would be a machine without oil, or with a live frame, that is left on."""

import pytest

from witnessmark.diagnosis.notes.matching import read_note

STOPS = {
    "oil-safety-trips": (
        "compressor trips on low oil pressure",
        "tripped on low oil pressure 3 times",
        "chiller trips on low oil pressure, restarts every time",
        "low lube oil pressure fault",
        "oil pressure switch out",
        "se dispara por baja presion de aceite",
    ),
    "breaker-trips-at-once": (
        "GFCI trips when the compressor starts",
        "RCD trips at start",
        "RCCB keeps tripping",
        "the residual current device goes off",
        "Salta el diferencial al arrancar",
        "el diferencial salta cada vez que arranca el compresor",
        "dispara el disyuntor diferencial al arrancar",
        "reset the breaker 4 times",
        "have to reset the breaker every morning",
        "breaker has been reset twice already today",
        "we keep putting the fuse back in",
        "repusieron el automático tres veces",
        "manager keeps resetting the breaker",
    ),
    "will-not-start": (
        "will not start",
        "compressor will not start",
        "chiller will not start",
        "it will not run",
        "motor will not turn",
        "compressor is not running",
        "compressor off, fans running",
        "fan runs but compressor not",
        "fans turn, compressor silent",
        "everything is off, no power",
    ),
    "compressor-runs": (
        "compressor keeps running, box warm",
        "compresor caliente pero funciona",
    ),
    "capacity-low": (
        "freezer will not pull down",
        "freezer not pulling down",
        "box won't pull down below 20F",
        "AC pulls down to 78 but no lower",
    ),
    "short-cycling": (
        "comp short cycles 12 times an hour",
        "unit short cycling every 5 minutes",
        "on and off 8 times per hour all night",
    ),
}
NOT: dict[str, tuple[str, ...]] = {
    "low-pressure-trips": STOPS["oil-safety-trips"][:5],
    "pump-down-fails": STOPS["capacity-low"],
    "no-pressure-difference": STOPS["capacity-low"],
    "will-not-start": (
        "compressor not running hot",
        "we will not start the work until monday",
        "did not run a test",
        "it does start, no problem",
    ),
    "compressor-runs": (
        "compressor runs for 5 minutes then trips",
        "compressor was running when I left",
        "unit runs but does not cool",
        "it is running but not cooling",
        "fan motor running, not cold",
    ),
    "breaker-trips-at-once": ("breaker reset once and it has held", "differential pressure switch trips"),
    "drive-overcurrent-code": ("error code E5, unit stopped", "VRF error code U2"),
    "high-pressure-trips": ("HP 2.6MPa LP 0.8MPa",),
}


def told(text: str) -> dict[str, str]:
    return {match.finding: match.state for match in read_note(text).matches}


@pytest.mark.parametrize(("finding", "text"), [(key, text) for key, texts in STOPS.items() for text in texts])
def test_what_callers_say_is_heard(finding: str, text: str) -> None:
    assert told(text).get(finding) == "present"


@pytest.mark.parametrize(("finding", "text"), [(key, text) for key, texts in NOT.items() for text in texts])
def test_what_sounds_alike_is_not(finding: str, text: str) -> None:
    assert told(text).get(finding) != "present"


@pytest.mark.parametrize(
    ("text", "pascal"),
    [
        ("head 1.8 MPa", 1.8e6 + 101325),
        ("head 1,8 MPa", 1.8e6 + 101325),
        ("2.6 MPag head", 2.6e6 + 101325),
        ("head 1.8 megapascal", 1.8e6 + 101325),
        ("head 1.9 MPaa", 1.9e6),
        ("head 1800 kPa", 1.8e6 + 101325),
        ("head 18 bar", 1.8e6 + 101325),
    ],
)
def test_a_megapascal_is_ten_bar(text: str, pascal: float) -> None:
    assert read_note(text).readings["discharge_pressure"] == pytest.approx((pascal,))


def test_a_healthy_machine_in_megapascal_pumps() -> None:
    found = told("suction pressure 0.8 MPa, discharge pressure 2.6 MPa R410A")
    assert found.get("no-pressure-difference") != "present"
