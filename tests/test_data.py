"""Every shipped data file is read before the first request; what is wrong with one is said with file and row."""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter

from witnessmark import data
from witnessmark.api import app, warm_up

assert app, "imported so that whoever reads a file is known"
SHIPPED = sorted(data.shipped())
REGISTERED = [path for path in SHIPPED if path in data._FILES]  # noqa: SLF001
CURVES = [path for path in REGISTERED if path.startswith("refrigerants/curves/")]
TRIED = [path for path in REGISTERED if path not in CURVES[2:-2]]
"""Every file; of the curves, which one model reads, the first and the last two."""


def broken_by_syntax(_content: Any) -> bytes:
    return b"[[ = {"


def broken_by_an_unknown_key(content: Any) -> bytes:
    return json.dumps(_with_another(content), default=str).encode()


def broken_by_a_wrong_type(content: Any) -> bytes:
    return json.dumps(_with_the_first_leaf(content), default=str).encode()


def _with_another(part: Any) -> Any:
    """An unknown key as deep in the first branch as there is a table of fixed keys."""
    if isinstance(part, list):
        return [_with_another(part[0]), *part[1:]]
    key = next((key for key, value in part.items() if _holds_a_table(value)), None)
    if key is None:
        return {**part, "no-such-key": [{"no": "such"}]}
    return {**part, key: _with_another(part[key])}


def _holds_a_table(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and isinstance(value[0], dict))


def _with_the_first_leaf(part: Any) -> Any:
    """The first value of the file becomes one of a type that no file has there: a table of nothing known."""
    if isinstance(part, dict) and part:
        key = next(iter(part))
        return {**part, key: _with_the_first_leaf(part[key])}
    if isinstance(part, list) and part:
        return [_with_the_first_leaf(part[0]), *part[1:]]
    return {"no-such-key": True}


@pytest.fixture
def broken(monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """Puts other content in the place of one registered file, in memory, until the test is over."""
    data.check()  # the others are read, so that only the broken one is read again
    files: list[data.DataFile[Any]] = []

    def put(path: str, content: bytes) -> None:
        file = data._FILES[path]  # noqa: SLF001
        read = data._bytes  # noqa: SLF001
        monkeypatch.setattr(data, "_bytes", lambda f: content if str(f).endswith(f"witnessmark/{path}") else read(f))
        monkeypatch.setattr(data, "_as_json", lambda name, text: text if text == content else as_json(name, text))
        file.forget()
        files.append(file)

    as_json = data._as_json  # noqa: SLF001
    yield put
    monkeypatch.undo()
    for file in files:
        file.forget()


@pytest.mark.parametrize("breaking", [broken_by_an_unknown_key, broken_by_a_wrong_type], ids=lambda b: b.__name__)
@pytest.mark.parametrize("path", TRIED)
def test_a_start_is_refused_by_a_row_that_does_not_fit(path: str, breaking: Any, broken: Any) -> None:
    content = (Path(data.__file__).parent / path).read_bytes()
    broken(path, breaking(json.loads(content) if path.endswith(".json") else tomllib.loads(content.decode())))
    with pytest.raises(data.DataError) as caught:
        warm_up.warm_up()
    fault = next(f for f in caught.value.faults if f.startswith(f"{data._FILES[path].name}: "))  # noqa: SLF001
    row = fault.removeprefix(f"{data._FILES[path].name}: ").partition(":")[0]  # noqa: SLF001
    assert row
    assert row != "the file"


@pytest.mark.parametrize("path", TRIED)
def test_a_start_is_refused_by_a_file_that_cannot_be_read(path: str, monkeypatch: pytest.MonkeyPatch) -> None:
    data.check()
    file, read = data._FILES[path], data._bytes  # noqa: SLF001
    file.forget()
    monkeypatch.setattr(data, "_bytes", lambda f: b"[[ = {" if str(f).endswith(f"witnessmark/{path}") else read(f))
    with pytest.raises(data.DataError) as caught:
        warm_up.warm_up()
    assert any(fault.startswith(f"{file.name}: ") for fault in caught.value.faults)


def test_every_shipped_file_is_registered() -> None:
    assert REGISTERED == SHIPPED


def test_a_file_that_nobody_reads_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(data, "shipped", lambda: iter([*REGISTERED, "calculations/stray.toml"]))
    with pytest.raises(data.DataError, match=r"^calculations/stray\.toml: nobody reads this file$"):
        data.check()


def test_checks_across_files_are_run(monkeypatch: pytest.MonkeyPatch) -> None:
    def odd() -> None:
        raise KeyError("no-such-id")

    monkeypatch.setattr(data, "shipped", lambda: iter(()))
    monkeypatch.setattr(data, "_FILES", {})
    monkeypatch.setattr(data, "_CHECKS", {"odd": odd})
    with pytest.raises(data.DataError, match="no-such-id"):
        data.check()


def test_serve_refuses_to_start_with_a_readable_message() -> None:
    code = (
        "import sys; from witnessmark import cli, data; read = data._bytes; "
        "data._bytes = lambda f: b'[pressure]\\nsi = 3\\n' if f.name == 'units.toml' else read(f); "
        "sys.exit(cli.main(['serve', '--port', '8999']))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=False)  # noqa: S603
    assert run.returncode == 1
    assert "units.toml: pressure, si: Input should be a valid string" in run.stderr
    assert "Traceback" not in run.stderr


def test_the_version_follows_names_and_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    before = data.version()
    assert len(before) == 10
    read = data._bytes  # noqa: SLF001
    monkeypatch.setattr(data, "_bytes", lambda file: read(file) + b"\n")
    assert data.version.__wrapped__() != before


def test_the_digest_of_a_part_follows_that_part_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    part, read = data.version("diagnosis/"), data._bytes  # noqa: SLF001
    assert part not in (data.version(), data.version("cleanup/"))
    monkeypatch.setattr(data, "_bytes", lambda file: read(file) + b"\n" * (file.name == "sizing.toml"))
    assert data.version.__wrapped__("diagnosis/") == part
    assert data.version.__wrapped__("cleanup/") != data.version("cleanup/")


class Named(data.Row):
    """A row for the tests below."""

    value: float


def test_loading_is_strict_and_counts_rows_from_one(tmp_path: Path) -> None:
    file = tmp_path / "x.toml"
    file.write_text('[[row]]\nvalue = 1\n[[row]]\nvalue = "2"\n', "utf-8")
    with pytest.raises(data.DataError, match=r"^x\.toml: row 2, value: Input should be a valid number$"):
        data.parsed(file, "x.toml", dict[str, tuple[Named, ...]])


def test_a_row_cannot_be_changed() -> None:
    row = TypeAdapter(Named).validate_python({"value": 1.0})
    with pytest.raises(ValueError, match="frozen"):
        row.value = 2.0  # type: ignore[misc]
