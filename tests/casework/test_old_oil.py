"""The oil of the failed compressor by its sample and by the signs: the worse of both counts."""

from typing import Any

import pytest

from witnessmark.casework.cuts import cut
from witnessmark.casework.old_oil import told_apart, with_old_oil
from witnessmark.casework.view import view

SAMPLE, POE = {"sample": "old-compressor"}, {"oil": "POE"}


def acid(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "mgKOH/g"}


def size(_: str, told: Any) -> float:
    return float(told["value"] if isinstance(told, dict) else told)


def signs(case: dict[str, Any]) -> Any:
    """What the cleanup is asked with."""
    return cut("cleanup", with_old_oil(view({"machine": POE, **case}), size)[0])["signs"]


@pytest.mark.parametrize("sign", [{"colour": 2}, {"water": {"value": 50, "unit": "mg/kg"}}, {"smell": "none"}, {}])
def test_acid_of_a_sample_reaches_the_plan_whatever_signs_are_given(sign: dict[str, Any]) -> None:
    assert signs({"signs": sign, "oil_samples": [SAMPLE | {"acid_number": acid(0.6)}]}) == sign | {
        "acid_number": acid(0.6)
    }


def test_a_later_sample_without_acid_takes_none_back() -> None:
    samples = [SAMPLE | {"acid_number": acid(0.6)}, SAMPLE | {"colour": 3}]
    assert signs({"signs": {}, "oil_samples": samples}) == {"acid_number": acid(0.6), "colour": 3}


@pytest.mark.parametrize(
    ("sign", "sample", "counts", "told"),
    [
        ({"colour": 1}, {"colour": 8}, {"colour": 8}, 1),
        ({"colour": 8}, {"colour": 1}, {"colour": 8}, 1),
        ({"colour": 3}, {"colour": 3.5}, {"colour": 3.5}, 0),
        ({"acid_number": acid(0)}, {"acid_number": acid(0.6)}, {"acid_number": acid(0.6)}, 1),
        ({"acid_number": acid(0.6)}, {"acid_number": acid(0.01)}, {"acid_number": acid(0.6)}, 1),
        ({"acid_number": acid(0.01)}, {"acid_number": acid(0.04)}, {"acid_number": acid(0.04)}, 0),
        ({"acid_test": "negative"}, {"acid_number": acid(0.6)}, {"acid_number": acid(0.6)}, 1),
        ({"acid_test": "negative"}, {"acid_number": acid(0)}, {"acid_test": "negative", "acid_number": acid(0)}, 0),
    ],
)
def test_the_worse_counts_and_what_cannot_be_is_named(
    sign: dict[str, Any], sample: dict[str, Any], counts: dict[str, Any], told: int
) -> None:
    case = {"machine": POE, "signs": sign, "oil_samples": [SAMPLE | sample]}
    assert signs(case) == counts
    assert len([*told_apart(view(case))]) == told
