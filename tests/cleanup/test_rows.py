"""What the data files of the cleanup have in common; every mistyped row is refused with file, row and fault."""

import json
import tomllib
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from witnessmark import data
from witnessmark.cleanup import (
    components,
    debris_rules,
    drop_limits,
    interval_rules,
    log_rules,
    severity,
    sizing_rules,
    steps,
)

FILES = {
    file.name: file
    for file in (
        components.COMPONENTS,
        debris_rules.DEBRIS,
        drop_limits.DROP_LIMITS,
        interval_rules.INTERVALS,
        log_rules.LOG_RULES,
        severity.SEVERITY,
        sizing_rules.SIZING,
        steps.STEPS,
    )
}


def test_every_file_of_the_folder_is_read() -> None:
    folder = files("witnessmark.cleanup")
    assert set(FILES) == {file.name for file in folder.iterdir() if file.name.endswith(".toml")}
    assert all(file() for file in FILES.values())


def put(*path: Any) -> Callable[[Any], None]:
    """Set the value at the end of a path of keys."""
    *keys, last, value = path

    def change(content: Any) -> None:
        for key in keys:
            content = content[key]
        content[last] = value

    return change


@pytest.mark.parametrize(
    ("name", "change", "fault"),
    [
        ("drop_limits", put("ranges", 0, "role", "law"), "ranges 1, role"),
        ("drop_limits", put("ranges", 0, "installation", "loose"), "ranges 1, installation"),
        ("drop_limits", put("ranges", 0, "evaporating", [55, 32]), "ranges 1, evaporating: .* must rise"),
        ("drop_limits", put("ranges", 0, "limit", 0), "ranges 1, limit"),
        ("drop_limits", put("points", 0, "limit", [1, 2]), "points 1: .* one limit each"),
        ("drop_limits", put("points", 0, "limit", [3, 2, 1]), "points 1, limit: .* must rise"),
        ("drop_limits", put("equal_penalty", "loss", {"permanent": 2.0}), "no entry for temporary"),
        ("severity", put("thresholds", [0, 4, 1]), "thresholds"),
        ("severity", put("thresholds", [0, 1, 1]), "thresholds"),
        ("severity", put("item", "acid-over", "floor", 7), "item, acid-over, floor"),
        ("severity", put("item", "acid-over", "points", -1), "item, acid-over, points"),
        ("severity", put("item", "acid-over", "signs", ["acid over"]), "unknown signs: acid over"),
        ("severity", put("item", "acid-over", "source", "hearsay"), "item, acid-over, source: .* hearsay"),
        ("intervals", put("check", "first-drop", "hours", -1), "check, first-drop, hours"),
        ("intervals", put("check", "first-drop", "grades", [9]), "check, first-drop, grades"),
        ("intervals", put("check", {}), "no check day-3, first-drop, two-weeks"),
        ("intervals", put("oil_circulation", "value", 1.1), "oil_circulation, value"),
        ("sizing", put("most_changes", 0), "most_changes"),
        ("steps", put("step", "make-safe", "when", "someday"), "step, make-safe, when"),
        ("steps", put("step", "make-safe", "grades", [9]), "step, make-safe, grades"),
        ("steps", put("step", "make-safe", "needs", ["luck"]), "step, make-safe, needs"),
        ("steps", put("step", "make-safe", "cautions", ["beware-of-the-dog"]), "no such caution: beware-of-the-dog"),
        ("components", put("part", "receiver", "actions", ["leave"]), "part, receiver, actions"),
        ("components", put("part", "receiver", "found", "metal-fines", "polish"), "part, receiver, found, metal-fines"),
        ("components", put("part", "receiver", "found", {"metal-fines": "leave"}), "no action for metal-fragments"),
        ("intervals", put("check", "first-drop", "hours", 2), "hours must lie in the window"),
        ("intervals", put("working", "days", [7]), "working, days"),
        ("severity", put("solids", {}), "no entry for fines"),
        ("sizing", put("core_sets", "value", [1, 1, 2]), "core_sets, value"),
        ("components", put("plants", {}), "no entry for branch-controlled, cooling-only, heat-pump"),
        ("sizing", put("flow_exponent", "ends", [1.5, 1.5]), "flow_exponent, ends"),
        ("sizing", put("flow_exponent", "ends", [0.9, 1.5]), "between 1 and 2"),
        ("sizing", put("flow_exponent", "ends", [1.5, 2.1]), "between 1 and 2"),
        ("sizing", put("start_share", "value", 0), "start_share, value"),
        ("sizing", put("start_share", "value", 1.01), "start_share, value"),
        ("sizing", put("molar_mass", "value", {"KOH": 56.1}), "no entry for HCl, oleic"),
        ("sizing", put("surprise", 1), "surprise"),
        ("log", put("flow", "least_share", 40), "flow, least_share"),
        ("log", put("next", "share_of_time_left", 1.01), "next, share_of_time_left"),
        ("log", put("samples", "apart_hours", 0), "samples, apart_hours"),
        ("drop_limits", put("neighbours", "refrigerants", []), "neighbours, refrigerants"),
        ("log", put("faults", {}), "no entry for constant-offset"),
        ("debris", put("place", "muffler", "bore", 0), "place, muffler, bore"),
        ("debris", put("place", "muffler", "line", "attic"), "place, muffler, line"),
        ("debris", put("stay", "value", {"passes": 0.0}), "no entry for cannot pass"),
        ("debris", put("paths", {}), "no entry for branch-controlled"),
    ],
)
def test_a_mistyped_row_is_named(tmp_path: Path, name: str, change: Callable[[Any], None], fault: str) -> None:
    shipped = FILES[f"{name}.toml"]
    content = tomllib.loads(files("witnessmark.cleanup").joinpath(shipped.name).read_text("utf-8"))
    change(content)
    broken = tmp_path / f"{name}.json"
    broken.write_text(json.dumps(content))
    with pytest.raises(data.DataError, match=fault) as caught:
        data.parsed(broken, broken.name, shipped.model)
    assert caught.value.faults[0].startswith(broken.name)


def test_rows_carry_their_key_as_id() -> None:
    assert [row.id for row in steps.STEPS().step.values()] == list(steps.STEPS().step)
    assert len(steps.STEPS().step) == 54


def test_the_usual_parts_as_shipped_are_sound() -> None:
    components.usual_parts_exist()
    assert len(components.COMPONENTS().plants) == 3


def test_a_usual_part_that_has_no_row_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    shipped = components.COMPONENTS()
    broken = shipped.model_copy(update={"plants": {**shipped.plants, "heat-pump": ("attic",)}})
    monkeypatch.setattr(components.COMPONENTS, "_content", [broken])
    with pytest.raises(data.DataError, match="heat-pump: unknown attic"):
        components.usual_parts_exist()
