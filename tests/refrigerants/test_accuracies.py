"""The page of accuracies says what the tables say, and no refrigerant promises more than its rows bear."""

from __future__ import annotations

from tests.published.accuracy import PAGE, held, page

from witnessmark.refrigerants import catalogue

ROUNDED = 0.05  # K: half of the last digit of remembered boiling points


def test_the_page_of_accuracies_is_up_to_date_and_tells_what_is_unproved() -> None:
    assert PAGE.read_text("utf-8") == page()
    for name, one in held().items():
        stated = catalogue.get(name).accuracy_K
        assert max((*one.published, *one.remembered), default=0.0) <= stated + ROUNDED, name
