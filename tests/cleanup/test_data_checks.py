"""Mistyped data is refused at the start."""

import copy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from witnessmark.cleanup import data_checks
from witnessmark.cleanup.data_checks import CHECKS, check_data, refuse
from witnessmark.cleanup.tables import table


def test_the_data_as_shipped_is_sound() -> None:
    check_data()


def test_every_file_is_checked() -> None:
    folder = Path(data_checks.__file__).parent
    assert {file.stem for file in folder.glob("*.toml")} == set(CHECKS)


def put(*path: Any) -> Callable[[Any], None]:
    """Set the value at the end of a path of keys."""
    *keys, last, value = path

    def change(data: Any) -> None:
        for key in keys:
            data = data[key]
        data[last] = value

    return change


def again(key: str) -> Callable[[Any], None]:
    return lambda data: data[key].append(data[key][0])


@pytest.mark.parametrize(
    ("name", "change", "said"),
    [
        ("drop_limits", put("range", 0, "role", "law"), "role"),
        ("drop_limits", put("range", 0, "installation", "loose"), "installation"),
        ("drop_limits", put("range", 0, "evaporating_F", [55, 32]), "rise"),
        ("drop_limits", put("points", 0, "limit_psi", [1, 2]), "one limit each"),
        ("drop_limits", put("points", 0, "limit_psi", [3, 2, 1]), "grow"),
        ("drop_limits", put("range", 0, "limit_psi", 0), "positive"),
        ("severity", put("thresholds", [0, 4, 1]), "thresholds"),
        ("severity", put("item", "acid-over", "floor", 7), "acid-over"),
        ("intervals", put("check", 1, "hours", -1), "first-drop"),
        ("intervals", put("check", 1, "grades", [9]), "first-drop"),
        ("intervals", again("check"), "twice"),
        ("steps", put("step", 0, "when", "someday"), "make-safe"),
        ("steps", put("step", 0, "grades", [9]), "make-safe"),
        ("steps", again("step"), "twice"),
        ("components", put("part", "receiver", "actions", ["leave"]), "receiver"),
        ("components", put("part", "receiver", "solids", "polish"), "receiver"),
        ("components", put("plants", {}), "plant"),
        ("sizing", put("flow_exponent", "high", 1.5), "low < high"),
        ("sizing", put("start_share", "value", 0), "start_share"),
        ("log", put("flow", "least_share", 40), "shares"),
        ("log", put("next", "shortest_h", 48), "shortest_h"),
        ("debris", put("place", "muffler", "bore", 0), "muffler"),
        ("debris", put("place", "muffler", "line", "attic"), "muffler"),
        ("debris", put("paths", {}), "paths"),
    ],
)
def test_a_mistyped_row_is_named(name: str, change: Callable[[Any], None], said: str) -> None:
    data = copy.deepcopy(table(name))
    change(data)
    with pytest.raises(ValueError, match=said) as caught:
        refuse(name, CHECKS[name](data))
    assert f"{name}.toml" in str(caught.value)


def test_a_step_with_an_unknown_caution_is_refused() -> None:
    data = copy.deepcopy(table("steps"))
    data["step"][0]["cautions"] = ["beware-of-the-dog"]
    with pytest.raises(KeyError):
        refuse("steps", CHECKS["steps"](data))
