"""Places, paths and materials of the data file."""

import pytest
from pydantic import ValidationError

from witnessmark.cleanup.debris_rules import DEBRIS, END, Stay, materials, paths_exist, place_ids
from witnessmark.data import DataError
from witnessmark.vocabulary import Plant, words


@pytest.mark.parametrize("plant", words(Plant))
def test_paths_begin_in_the_shell_and_end_in_the_new_compressor(plant: Plant) -> None:
    path = DEBRIS().paths[plant]
    assert (path[0], path[-1]) == ("shell", END)
    assert set(path) <= set(place_ids())


def test_the_paths_as_shipped_are_sound() -> None:
    paths_exist()
    assert len(DEBRIS().paths) == 3


def test_lists_that_a_request_chooses_from() -> None:
    assert len(place_ids()) == 18
    assert materials() == ("cast-iron", "steel", "aluminium", "copper", "bronze", "PTFE", "desiccant")


@pytest.mark.parametrize("path", [("shell", "attic", END), ("shell", "muffler"), ()])
def test_a_path_that_leads_nowhere_is_refused(monkeypatch: pytest.MonkeyPatch, path: tuple[str, ...]) -> None:
    broken = DEBRIS().model_copy(update={"paths": {**DEBRIS().paths, "heat-pump": path}})
    monkeypatch.setattr(DEBRIS, "_content", [broken])
    with pytest.raises(DataError, match="heat-pump"):
        paths_exist()


@pytest.mark.parametrize(("share", "accepted"), [(0.0, True), (1.0, True), (-0.001, False), (1.001, False)])
def test_what_stays_is_a_share_of_what_arrives(share: float, accepted: bool) -> None:  # noqa: FBT001
    rows = DEBRIS().stay.model_dump()
    rows["value"]["passes"] = share
    if accepted:
        assert Stay.model_validate(rows).value["passes"] == share
    else:
        with pytest.raises(ValidationError, match="passes"):
            Stay.model_validate(rows)


def test_a_place_that_belongs_to_no_part_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    places = {**DEBRIS().place, "muffler": DEBRIS().place["muffler"].model_copy(update={"part": "attic"})}
    monkeypatch.setattr(DEBRIS, "_content", [DEBRIS().model_copy(update={"place": places})])
    with pytest.raises(DataError, match="muffler: unknown part attic"):
        paths_exist()
