"""Names beside titles, streets and partners; none where a note cries for help or is all in capitals. Constructed."""

from __future__ import annotations

import pytest

from witnessmark.diagnosis.notes.names import names
from witnessmark.diagnosis.notes.tokens import tokens
from witnessmark.diagnosis.notes.vocabulary import vocabulary


def named(text: str) -> bool:
    return bool(names(tokens(text, vocabulary().lexicon)))


@pytest.mark.parametrize(
    "text",
    [
        "Spark & Daughters, the bottle cooler is warm",
        "please call Mr Smoke about the bill",
        "the cashier Ember Blaze called again",
        "we are at 9 Fire Hill Lane behind the shop",
        "Calle del Humo 7, no enfria la nevera",
        "Fuego Grill, our reach in is warm",
        "la señora Humo pide una cita",
    ],
)
def test_a_name(text: str) -> None:
    assert named(text)


@pytest.mark.parametrize(
    "text",
    [
        "Smoke from the unit at the back",
        "Fire Hotel Plaza come quick we need help",
        "Smoke Main Street 5 behind the shop",
        "SMOKE ROAD 12 COMING FROM UNIT",
        "smoke road 12 is what we have here",
        "Smoke Comes Out Of The Unit Here",
        "Fire at the Grill, we are all outside",
    ],
)
def test_no_name(text: str) -> None:
    assert not named(text)
