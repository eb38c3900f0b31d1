"""Data files of the cleanup: sources exist, units convert."""

import pytest

from witnessmark.cleanup import tables


@pytest.mark.parametrize(
    "name", ["severity", "drop_limits", "intervals", "steps", "components", "sizing", "log", "debris"]
)
def test_every_file_loads_and_its_sources_exist(name: str) -> None:
    assert tables.table(name)


def test_a_row_with_an_unknown_source_is_refused() -> None:
    with pytest.raises(KeyError):
        tables.check_sources({"rows": [{"value": 1, "source": "no-such-source"}]})


@pytest.mark.parametrize(("fahrenheit", "kelvin"), [(32, 273.15), (-40, 233.15), (212, 373.15)])
def test_fahrenheit_becomes_kelvin(fahrenheit: float, kelvin: float) -> None:
    assert tables.kelvin(fahrenheit) == pytest.approx(kelvin)
