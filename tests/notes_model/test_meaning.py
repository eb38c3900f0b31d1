"""The slopes are those of the loss, distilling reads what was stored, and what is learned tells texts apart."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from tests.notes_model import meaning, windows
from tests.notes_model.descent import Descent, left_out, log_loss_slope
from tests.notes_model.vectors import distilled, tensors
from witnessmark.diagnosis.notes.model.linear import Floats
from witnessmark.diagnosis.notes.model.windows import beside, softmax


def loss(odds: Floats, told: Floats) -> float:
    """The mean over texts of the sum of log-losses."""
    return float((np.logaddexp(0, odds) - told * odds).sum() / len(odds))


def test_the_slope_of_the_log_loss() -> None:
    odds, told, step = np.array([[0.3, -2.0]], np.float32), np.array([[1.0, 0.0]], np.float32), 1e-2
    near = [loss(odds + np.eye(2, dtype=np.float32)[k] * step, told) - loss(odds, told) for k in range(2)]
    assert log_loss_slope(odds, told)[0] * step == pytest.approx(near, rel=0.02)


def test_descent_goes_down() -> None:
    part = np.array([3.0], np.float32)
    descent = Descent([part], 0.5, 50)
    for _ in range(50):
        descent.step([2 * part])
    assert abs(float(part[0])) < 0.2


def test_what_is_left_out_keeps_the_mean() -> None:
    factors = left_out(np.random.default_rng(0), (1000,), 0.4)
    assert np.unique(factors) == pytest.approx([0.0, 1 / 0.6])
    assert factors.mean() == pytest.approx(1, abs=0.05)


def test_the_slopes_of_windows_are_those_of_their_loss(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each table moved a little along its slope changes the loss by as much as the slope says."""
    monkeypatch.setattr(windows, "_LEFT_OUT", 0.0)
    draw = np.random.default_rng(3)
    words = draw.normal(size=(2, 4, 3)).astype(np.float32)
    none = np.array([[False] * 4, [False, False, True, True]])
    told = np.array([[1, 0], [0, 1]], np.float32)
    batch = windows.Batch(beside(words, 3), told, none)
    shapes = [(9, 5), (5,), (5, 2), (5, 2), (2,)]
    parts = [draw.normal(size=shape).astype(np.float32) for shape in shapes]

    def odds(tables: list[Floats]) -> Floats:
        units, offset, focus, outer, last = tables
        seen = np.maximum(batch.rows @ units + offset, 0)
        attention = softmax(np.where(none[:, :, None], np.float32(-1e9), seen @ focus))
        return np.asarray((attention * (seen @ outer)).sum(axis=1) + last, np.float32)

    for k, slope in enumerate(windows.slopes(batch, parts, draw)):
        step = 1e-3 / max(float(np.abs(slope).max()), 1e-6)
        up, down = ([*parts[:k], parts[k] + sign * step * slope, *parts[k + 1 :]] for sign in (1, -1))
        assert (loss(odds(up), told) - loss(odds(down), told)) / 2 == pytest.approx(
            float((slope**2).sum()) * step, rel=0.05
        )


def test_a_layer_learns_what_one_line_cannot_part(monkeypatch: pytest.MonkeyPatch) -> None:
    """Either of two signs, not both: needs units."""
    monkeypatch.setattr(meaning, "UNITS", 32)
    x = np.random.default_rng(0).choice([-1.0, 1.0], (400, 2)).astype(np.float32)
    inner, offset, outer, last = meaning.layer(x, (x[:, :1] * x[:, 1:] < 0).astype(np.float32))
    heard = np.maximum(x @ inner + offset, 0) @ outer + last > 0
    assert (heard[:, 0] == (x[:, 0] * x[:, 1] < 0)).mean() > 0.95


def folder(tmp_path: Path) -> Path:
    """A model of four pieces and two components as such models are stored."""
    tables = {
        "embeddings.word_embeddings.weight": [[1, 0], [0, 1], [1, 1], [2, -1]],
        "embeddings.position_embeddings.weight": [[0, 0]] * 40,
        "embeddings.token_type_embeddings.weight": [[0, 0], [9, 9]],
        "embeddings.LayerNorm.weight": [1, 1],
        "embeddings.LayerNorm.bias": [0, 0],
        "encoder.other": [5],
    }
    described, content = {}, b""
    for name, table in tables.items():
        array = np.array(table, np.float32)
        described[name] = {
            "dtype": "F32",
            "shape": array.shape,
            "data_offsets": [len(content), len(content) + array.nbytes],
        }
        content += array.tobytes()
    head = json.dumps(described).encode()
    (tmp_path / "model.safetensors").write_bytes(len(head).to_bytes(8, "little") + head + content)
    (tmp_path / "vocab.txt").write_text("oil\n##y\n[PAD]\nno7\n", "utf-8")
    return tmp_path


def test_vectors_are_distilled_from_pieces_of_letters(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.notes_model.vectors.COMPONENTS", 2)
    known = distilled(folder(tmp_path))
    assert [piece for piece in known.pieces if not piece.startswith("#") or piece == "##y"] == ["oil", "##y"]
    assert "#-2" in known.pieces
    assert "encoder.other" not in tensors((tmp_path / "model.safetensors").read_bytes())
