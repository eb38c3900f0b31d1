from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from witnessmark.refrigerants import catalogue, fluid
from witnessmark.refrigerants.surfaces import build, files
from witnessmark.refrigerants.surfaces.build import Model
from witnessmark.refrigerants.surfaces.files import INDEX, Surfaces


def test_a_rebuilt_sample_is_what_is_shipped(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Whole multiples of the steps: another processor may round a coefficient to the neighbour, no more."""
    assert build.main(["R-290", "--into", str(tmp_path)]) == 0
    rebuilt = files.Surfaces.model_validate_json(json.dumps(json.loads((tmp_path / "index.json").read_text())["R-290"]))
    shipped = INDEX()["R-290"]
    assert rebuilt.model_copy(update={"sha256": ""}).phases.keys() == shipped.phases.keys()
    ours = files.unpacked(rebuilt, (tmp_path / "coefficients" / "R-290.xz").read_bytes())
    for side, range_ in shipped.phases.items():
        found = files.phase("R-290", side)
        assert found is not None
        assert rebuilt.phases[side].strips == range_.strips
        for pressure in np.geomspace(found.p_low, found.p_high, 9).tolist():
            model = Model(fluid.fluid("R-290"), side)
            temperature = 0.5 * (model.saturation(pressure) + found.far)
            there, here = (one.enthalpy(one.spot(pressure, temperature)) for one in (found, ours[side]))
            assert here == pytest.approx(there, abs=0.05)
    assert "1/1 done" in capsys.readouterr().err


def test_a_check_passes_what_is_shipped_and_names_what_is_off(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(build, "POINTS", 30)
    assert build.main(["R-32", "--check"]) == 0
    monkeypatch.setitem(build.LIMIT, "enthalpy", 1e-9)
    assert build.main(["R-32", "--check"]) == 1
    assert "R-32, gas: enthalpy is off by" in capsys.readouterr().out


def test_without_names_the_whole_catalogue_is_built(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    rows = {name: (row, b"x") for name, row in INDEX().items() if name != "R-32"}
    asked: list[str] = []

    def built(name: str) -> tuple[Surfaces, bytes] | None:
        asked.append(name)
        return rows.get(name)

    monkeypatch.setattr(build, "build", built)
    assert build.main(["--into", str(tmp_path)]) == 0
    assert json.loads((tmp_path / "index.json").read_text()).keys() == rows.keys()
    assert asked == list(catalogue.designations())


def test_a_phase_is_cut_until_its_errors_stay_within_the_aim(monkeypatch: pytest.MonkeyPatch) -> None:
    tried = []

    def errors(*asked: object) -> dict[str, float]:
        tried.append(asked)
        good = len(tried) > 4
        return dict.fromkeys(build.LIMIT, 0.0 if good else np.inf)

    monkeypatch.setattr(build, "errors", errors)
    monkeypatch.setattr(build, "SIZES", {"gas": ((8, 6), (10, 8))})
    found = build.best(Model(fluid.fluid("R-32"), "gas"), 160.0)
    assert found is not None
    assert found[0].high == pytest.approx(build.TOPS[2] * fluid.fluid("R-32").marks.critical_pressure)
    assert found[0].reason.startswith("cut to 88%")
    monkeypatch.setattr(build, "errors", lambda *_: dict.fromkeys(build.LIMIT, np.inf))
    assert build.best(Model(fluid.fluid("R-32"), "gas"), 160.0) is None


def test_a_refrigerant_without_any_phase_has_no_surfaces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(build, "best", lambda *_: None)
    assert build.build("R-32") is None


def test_where_the_equation_has_no_answer_nothing_is_built(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise ValueError("no finite values")

    monkeypatch.setattr(build, "SIZES", {"gas": ((8, 6),)})
    with monkeypatch.context() as patch:
        patch.setattr(build, "build_phase", fail)
        assert build.best(Model(fluid.fluid("R-32"), "gas"), 160.0) is None
    phase = files.phase("R-32", "gas")
    assert phase is not None
    with monkeypatch.context() as patch:
        patch.setattr(Model, "at", fail)
        assert set(build.errors(Model(fluid.fluid("R-32"), "gas"), phase, 2, 1).values()) == {np.inf}


def test_values_that_are_not_finite_are_none(monkeypatch: pytest.MonkeyPatch) -> None:
    medium = fluid.fluid("R-32")
    broken = medium.gas(1e6, 320.0)._replace(enthalpy=np.nan)
    monkeypatch.setattr(fluid.Fluid, "gas", lambda *_: broken)
    with pytest.raises(ValueError, match="no finite values"):
        Model(medium, "gas").at(1e6, 320.0)


def test_without_room_between_the_pressures_nothing_is_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Model, "ends", lambda *_: (1e5, 1.5e5))
    assert build.best(Model(fluid.fluid("R-32"), "gas"), 160.0) is None


def test_a_value_beyond_the_far_end_is_no_error_of_the_inverse() -> None:
    phase = files.phase("R-32", "gas")
    assert phase is not None
    model = Model(fluid.fluid("R-32"), "gas")
    hot = model.at(1e6, phase.far + 5.0)
    assert build._back(phase, "enthalpy", 1e6, hot) == 0.0  # noqa: SLF001
    assert build._back(phase, "enthalpy", 1e6, model.at(1e6, phase.far - 5.0)) < 1e-3  # noqa: SLF001
