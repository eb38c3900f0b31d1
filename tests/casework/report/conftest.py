from collections.abc import Callable
from typing import Any

import pytest

from witnessmark.casework.report.material import Material
from witnessmark.casework.report.texts import catalogue


@pytest.fixture
def material() -> Callable[..., Material]:
    """A material of no more than what a test names."""

    def made(**given: Any) -> Material:
        plain: dict[str, Any] = {
            "case": {}, "results": {}, "say": catalogue("en"), "step": None, "danger": (), "repaired": False,
            "cautions": (), "assumptions": (), "sources": (), "aside": {}, "accuracy": lambda _position, _field: "",
            "moments": (), "contradictions": (),
            "versions": {"service": "1", "property_library": "2", "knowledge": "3"}, "digest": "d",
        }  # fmt: skip
        return Material(**{**plain, **given})

    return made
