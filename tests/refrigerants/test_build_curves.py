from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from witnessmark.errors import UnknownNameError
from witnessmark.refrigerants import build_curves, curves
from witnessmark.refrigerants.curves import Line
from witnessmark.refrigerants.series import Series
from witnessmark.refrigerants.tracing import Point, single_line


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


def test_errors_of_a_fit_are_measured_each_in_its_own_unit() -> None:
    """By hand: ln p = 20 - 2000/T, density and partner constant; the model lies beside each of them at one point."""
    line = Line(
        pressure=Series((0.002, 0.005), ((13.0, -3.0),)),
        temperature=Series((10.0, 16.0), ((0.0035, -0.0015),)),
        density=Series((0.002, 0.005), ((5.0,),)),
        partner=Series((0.002, 0.005), ((1.0,),)),
    )
    model = np.array([[14.002, 5.01, 1.0], [12.0, 5.0, 0.97]])
    assert build_curves._errors(line, np.array([0.003, 0.004]), model) == {  # noqa: SLF001
        "pressure": 2e-3,
        "temperature_from_pressure": 0.111,  # 1 / 0.002999 - 1 / 0.003
        "temperature_from_temperature": 0.111,  # 0.002 / 2000 / 0.003²
        "density": 0.01,
        "partner": 0.03,
    }


def test_temperature_over_pressure_is_the_inverse_of_pressure_over_temperature() -> None:
    """By hand: ln p = 13 - 3 t with 1/T = 0.0035 + 0.0015 t, so 1/T = 0.0035 - 0.0015 t over ln p = 13 + 3 t."""
    forward = Series((0.002, 0.005), ((13.0, -3.0),))
    assert build_curves._solve(forward, 14.5) == pytest.approx(0.00275, abs=1e-15)  # noqa: SLF001
    back = build_curves._inverse(forward)  # noqa: SLF001
    assert back.edges == pytest.approx((10.0, 16.0), rel=1e-15)
    assert back.pieces[0] == pytest.approx((0.0035, -0.0015), abs=1e-12)


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


@pytest.mark.parametrize("found", [[], [Point(250.0, 1e5, 5.0, 5.0, (), 1.0, 0.0)]])
def test_a_line_that_breaks_off_is_an_error(found: list[Point]) -> None:
    with pytest.raises(RuntimeError, match="followed to"):
        build_curves._trace_all(lambda _: found, [np.array([1 / 250.0, 1 / 260.0])])  # noqa: SLF001


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


def test_a_liquid_is_taken_as_liquid_down_to_the_mean_triple_point() -> None:
    """By hand: half R-32 (136.34 K) and half R-125 (172.52 K) by mass are 0.6976 and 0.3024 by moles."""
    assert build_curves.freezing({"R-134a": 1.0}) == pytest.approx(169.85)
    assert build_curves.freezing({"R-32": 0.5, "R-125": 0.5}) == pytest.approx(
        0.6976 * 136.34 + 0.3024 * 172.52, abs=0.01
    )


def test_the_coldest_end_lies_at_a_thousand_pascal_or_nowhere() -> None:
    """Water boils at 6.97 degC under 1 kPa (steam tables); a line that cannot be followed there has no such end."""
    assert build_curves._coldest(partial(single_line, "Water", 0), 647.1) == pytest.approx(280.12, abs=0.02)  # noqa: SLF001
    assert build_curves._coldest(lambda _: [], 647.1) == 0.0  # noqa: SLF001


def straight(level: float, slope: float = -3.0) -> Line:
    """A line whose ln p falls (or rises) straight over 1/T."""
    flat = Series((0.002, 0.005), ((5.0,),))
    pressure = Series((0.002, 0.005), ((level, slope),))
    return Line(pressure=pressure, temperature=Series((10.0, 16.0), ((0.0035, -0.0015),)), density=flat, partner=flat)


def test_lines_that_cannot_be_right_are_refused() -> None:
    build_curves._in_order(straight(13.0), straight(13.0))  # noqa: SLF001
    with pytest.raises(RuntimeError, match="above the bubble line"):
        build_curves._in_order(straight(13.0), straight(13.1))  # noqa: SLF001
    with pytest.raises(RuntimeError, match="falls with temperature"):
        build_curves._in_order(straight(13.0, 0.1), straight(12.0, -0.1))  # noqa: SLF001
