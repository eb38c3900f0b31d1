from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from witnessmark.errors import UnknownNameError
from witnessmark.refrigerants import build_curves, catalogue, curves, library
from witnessmark.refrigerants.curves import Line
from witnessmark.refrigerants.series import Series


@pytest.mark.parametrize("designation", ["R-134a", "R-410A", "R-454B", "R-514A"])
def test_a_rebuilt_sample_is_what_is_shipped(designation: str) -> None:
    built, shipped = build_curves.build(designation), curves.load(designation)
    assert build_curves.compare(built, shipped) < build_curves.SAME
    for name in ("library", "t_min", "t_max", "model_t_max"):
        assert getattr(built, name) == getattr(shipped, name)
    for name in ("molar_mass", "critical_temperature", "critical_pressure", "single_phase_pressure"):
        assert getattr(built, name) == pytest.approx(getattr(shipped, name), rel=1e-5)
    assert built.worst == pytest.approx(shipped.worst, rel=0.1)


def test_comparison_sees_a_difference_on_either_side() -> None:
    shipped = curves.load("R-32")
    pieces = shipped.dew.density.pieces
    moved = replace(shipped.dew.density, pieces=((pieces[0][0] + 1e-4, *pieces[0][1:]), *pieces[1:]))
    other = shipped.model_copy(update={"dew": shipped.dew.model_copy(update={"density": moved})})
    assert build_curves.compare(other, shipped) == pytest.approx(1e-4)
    assert build_curves.compare(shipped, shipped) == 0


@pytest.mark.parametrize(("gap", "status"), [(build_curves.SAME, 0), (build_curves.SAME * 1.001, 1)])
def test_a_check_passes_up_to_the_limit_itself(
    gap: float, status: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(build_curves, "build", curves.load)
    monkeypatch.setattr(build_curves, "compare", lambda *_: gap)
    assert build_curves.main(["R-290", "--check"]) == status
    assert ("differ" in capsys.readouterr().out) == bool(status)


def test_one_command_writes_and_checks(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert build_curves.main(["R-290", "--into", str(tmp_path)]) == 0
    assert build_curves.main(["R-290", "--into", str(tmp_path), "--check"]) == 0
    file = tmp_path / "R-290.json"
    assert curves.from_json(file.read_text("utf-8")).library == curves.load("R-290").library
    file.write_text((Path(build_curves.FOLDER) / "R-1270.json").read_text("utf-8"), "utf-8")
    assert build_curves.main(["R-290", "--into", str(tmp_path), "--check"]) == 1
    shown = capsys.readouterr()
    assert "R-290: shipped and rebuilt curves differ" in shown.out
    assert "1/1 done" in shown.err


def test_without_names_the_whole_catalogue_is_built(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(build_curves, "build", curves.load)
    assert build_curves.main(["--into", str(tmp_path)]) == 0
    assert {file.name for file in tmp_path.iterdir()} == {file.name for file in build_curves.FOLDER.iterdir()}


def test_unknown_designation(tmp_path: Path) -> None:
    with pytest.raises(UnknownNameError):
        build_curves.main(["R-9999", "--into", str(tmp_path)])


def test_comparison_sees_an_inverse_that_is_not_the_shipped_one() -> None:
    """By hand: ln p = 13 - 3 t over 1/T = 0.0035 + 0.0015 t; an inverse 1e-8 too high makes ln p 2e-5 too low."""
    shipped = curves.load("R-32")
    line = Line(
        pressure=Series((0.002, 0.005), ((13.0, -3.0),)),
        temperature=Series((10.0, 16.0), ((0.0035, -0.0015),)),
        density=Series((0.002, 0.005), ((5.0,),)),
        partner=Series((0.002, 0.005), ((1.0,),)),
    )
    beside = line.model_copy(update={"temperature": Series((10.0, 16.0), ((0.0035 + 1e-8, -0.0015),))})
    whole, moved = (shipped.model_copy(update={"bubble": line, "dew": dew}) for dew in (line, beside))
    assert build_curves.compare(moved, whole) == pytest.approx(2e-5, rel=1e-6)
    assert build_curves.compare(whole, whole) == 0


class Failing:
    """A blend whose critical points or phase envelope the library does not find."""

    def __init__(self, state: Any, *fails: str) -> None:
        self._state, self._fails = state, fails

    def __getattr__(self, name: str) -> Any:
        if name in self._fails:
            return self._fail
        return getattr(self._state, name)

    def _fail(self, *_: object) -> None:
        raise ValueError


def blend(designation: str, *fails: str) -> Failing:
    recipe = catalogue.recipe(designation)
    name = library.model_name(designation, recipe.components, recipe.basis)
    return Failing(library.new_state(name, library.mole_fractions(recipe.components), None), *fails)


def test_where_no_envelope_is_found_the_critical_point_is_the_highest() -> None:
    both = build_curves._blend_marks(blend("R-454B"))  # noqa: SLF001
    alone = build_curves._blend_marks(blend("R-454B", "build_phase_envelope"))  # noqa: SLF001
    assert alone == (*both[:2], *both[:2])
    assert both[2] >= both[0]
    assert both[3] >= both[1]


def test_where_no_critical_point_is_found_the_envelope_tells_where_the_phases_meet() -> None:
    """The two ways are independent of each other in the library: they agree within 0.1 K and 0.2 %."""
    searched = build_curves._blend_marks(blend("R-454B"))  # noqa: SLF001
    closed = build_curves._blend_marks(blend("R-454B", "all_critical_points"))  # noqa: SLF001
    assert closed[0] == pytest.approx(searched[0], abs=0.1)
    assert closed[1] == pytest.approx(searched[1], rel=2e-3)


def test_six_components_are_not_searched_and_agree_with_a_search() -> None:
    """R-470A: 358.74 K and 5.4755 MPa by the library's search, which took 37 s where this was written."""
    marks = build_curves._blend_marks(blend("R-470A", "all_critical_points"))  # noqa: SLF001
    assert build_curves._blend_marks(blend("R-470A")) == marks  # noqa: SLF001
    assert marks[0] == pytest.approx(358.74, abs=0.1)
    assert marks[1] == pytest.approx(5.4755e6, rel=2e-3)


def test_a_blend_without_either_is_refused() -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - the library's own, whatever it says
        build_curves._blend_marks(blend("R-454B", "all_critical_points", "build_phase_envelope"))  # noqa: SLF001
