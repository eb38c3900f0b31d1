"""Windings read with one meter and one pair of leads: what they share cancels, what a meter rounds is allowed for."""

from __future__ import annotations

from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.quantities import Resistance
from witnessmark.api.routes.winding_digits import rounded_to, shown_digit


def verdict(client: TestClient, ohms: tuple[float, ...], **more: Any) -> tuple[str, str]:
    body = {"phases": "three-phase", "terminals": [{"value": r, "unit": "ohm"} for r in ohms]} | more
    result = client.post("/v1/windings", json=body).json()["result"]
    return result["verdict"], result["explanation"]


@pytest.mark.parametrize("lead", [None, 0.2])
@pytest.mark.parametrize("ohms", [(1.42, 1.43, 1.41), (0.58, 0.58, 0.58), (3.2, 3.2, 3.2), (6.6, 6.6, 6.5)])
def test_a_hand_held_meter_that_shows_the_same_three_times_is_enough(
    client: TestClient, ohms: tuple[float, ...], lead: float | None
) -> None:
    more = {} if lead is None else {"meter": "two-leads", "lead": {"value": lead, "unit": "ohm"}}
    assert verdict(client, ohms, **more)[0] == "balanced"


@pytest.mark.parametrize("ohms", [(0.6, 0.6, 0.7), (0.6, 0.61, 0.62), (0.5, 0.5, 0.5), (1.42, 1.43, 1.52)])
def test_what_it_cannot_tell_names_the_meter_that_can(client: TestClient, ohms: tuple[float, ...]) -> None:
    told, why = verdict(client, ohms)
    assert told == "cannot tell"
    assert "four-wire" in why


@pytest.mark.parametrize(("ohms", "adds"), [((24, 13.1, 37), True), ((24, 13.1, 38), False), ((2.0, 0.5, 2.9), False)])
def test_a_sum_is_known_no_better_than_its_digits(client: TestClient, ohms: tuple[float, ...], adds: bool) -> None:  # noqa: FBT001
    four_wire = {"phases": "single-phase", "meter": "four-wire", "lead": {"value": 0, "unit": "ohm"}}
    assert (verdict(client, ohms, **four_wire)[0] == "adds up") is adds


def test_the_digit_that_was_shown() -> None:
    """In milliohm 580 is 0.58 ohm, whose last digit is 0.01 at the finest."""
    made = [Resistance(value=580.0, unit="milliohm"), None]
    assert shown_digit(made) == pytest.approx(0.01)
    assert shown_digit([None]) == 0.1
    assert rounded_to([Resistance(value=37, unit="ohm")]) == pytest.approx(0.1 / 12**0.5)
