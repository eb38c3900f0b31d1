"""Choosing a media type: RFC 9110, 12.5.1."""

import pytest

from witnessmark.api.accepting import chosen
from witnessmark.api.problems import ProblemError

OFFERED = ("image/svg+xml", "image/png")


@pytest.mark.parametrize(
    ("accept", "expected"),
    [
        ("*/*", "image/svg+xml"),
        ("image/*", "image/svg+xml"),
        ("image/png", "image/png"),
        ("IMAGE/PNG", "image/png"),
        ("image/svg+xml;q=0.5, image/png", "image/png"),
        ("image/png;q=0.1, */*;q=0.2", "image/svg+xml"),
        ("image/svg+xml;q=0, image/*", "image/png"),
        ("text/html, image/png;q=0.001", "image/png"),
        ("image/svg+xml;q=nonsense, image/png;level=1", "image/png"),
        ("image/svg+xml;q=inf, image/png;q=0.1", "image/png"),
    ],
)
def test_highest_weight_of_the_most_specific_range(accept: str, expected: str) -> None:
    assert chosen(accept, OFFERED) == expected


@pytest.mark.parametrize("accept", ["application/json", "", "image/png;q=0, image/svg+xml;q=0", ";;,"])
def test_nothing_acceptable_is_406(accept: str) -> None:
    with pytest.raises(ProblemError) as caught:
        chosen(accept, OFFERED)
    assert caught.value.status_code == 406
