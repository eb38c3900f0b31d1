"""Danger in words that were passed over, and what sounds like it. Worst: people stay where gas, current or fire is."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.matching import read_note
from witnessmark.diagnosis.notes.telling import is_danger

LEARNED = True


def dangers(text: str) -> set[str]:
    reading = read_note(text)
    return {m.finding for m in (*reading.matches, *reading.candidates) if is_danger(m.finding)}


@pytest.mark.parametrize(
    "text",
    [
        "freezer at -5 and the alarm is on",
        "alarm is on at the cooler",
        "the alarm keeps beeping on the freezer",
        "la alarma del cuarto frio esta sonando y esta a 8 grados",
    ],
)
def test_an_alarm_that_says_how_warm_it_is_is_no_danger_to_people(text: str) -> None:
    assert dangers(text) == set()


@pytest.mark.parametrize(
    "text",
    [
        "CO2 alarm on at the freezer",
        "alarm at the freezer, everybody is outside",
        "freezer alarm is on and the guy inside is not answering",
        "gas alarm is going off by the cooler",
        "the cooler alarm rings and it smells funny",
        "alarm at the cold room, 80 ppm",
        "alarma en la camara, huele a amoniaco",
    ],
)
def test_an_alarm_of_gas_where_goods_are_kept_is_danger(text: str) -> None:
    """The worst of that rule: people are sent into gas because a freezer was named."""
    assert dangers(text)


@pytest.mark.parametrize(
    ("text", "finding"),
    [
        ("a las muchachas les duele la cabeza desde que arreglaron el cuarto frio", "people-unwell"),
        ("headaches since they fixed the cold room", "people-unwell"),
        ("no era prueba, la alarma es real y no hay mascaras", "gas-alarm"),
        ("no le paso nada dice, pero escupe sangre", "person-hurt"),
        ("my chef burned his hand on the liquid coming out", "person-hurt"),
        ("tingles in my fingers from the freezer door", "electric-shock"),
        ("enfriar si enfria. la manguera sigue silbando en el cuarto", "refrigerant-smell"),
        ("topped up the pipes from the shop air line", "wrong-gas-under-pressure"),
        ("cannot breathe good", "people-unwell"),
    ],
)
def test_danger_in_words_that_were_passed_over(text: str, finding: str) -> None:
    assert finding in dangers(text)


@pytest.mark.parametrize("text", ["fridge goes click then hums a bit", "chef burned the toast"])
def test_what_sounds_like_it_and_is_none(text: str) -> None:
    assert not {"electric-shock", "person-hurt"} & dangers(text)


@pytest.mark.parametrize(
    "text",
    [
        "está pingando água em cima do quadro elétrico da central",
        "o rapaz ficou tonto dentro da câmara e tivemos que tirar ele de lá",
        "o funcionário está trancado na câmara frigorífica",
        "RTU on roof, o rapaz ficou tonto",
    ],
)
def test_danger_in_portuguese_is_heard_as_such(text: str) -> None:
    """It was no more than a reason to ring back, and `no quadro` is no denial."""
    reading = read_note(text)
    told = {m.finding for m in reading.matches if m.state == "present"}
    assert reading.plights or told & {"water-on-live-parts", "people-unwell"}
