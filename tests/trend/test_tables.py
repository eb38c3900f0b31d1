"""Where columns come from."""

import gzip
import io

import numpy as np
import pytest

from witnessmark.errors import InputError
from witnessmark.trend import stamps, tables

TEXT = b"t,a\n2024-01-01T00:00:00Z,1.5\n2024-01-01T00:01:00Z,\n"


def test_text_gzip_and_parts_of_gzip_are_one() -> None:
    for body in (TEXT, gzip.compress(TEXT), gzip.compress(TEXT[:10]) + gzip.compress(TEXT[10:])):
        table = tables.packed(body, "csv")
        assert (table.headers, table.rows, table.unreadable) == (("t", "a"), 2, 0)
        assert table.numbers("a")[0] == 1.5
        assert table.clock("t", "iso").shown[1] == 1_704_067_260


def test_counts_in_text() -> None:
    table = tables.text(b"t,a\n1704067200,1\n1704067260,2\n")
    assert table.clock("t", "epoch-seconds").shown.tolist() == [1_704_067_200, 1_704_067_260]


def test_columns_of_json() -> None:
    table = tables.columns({"t": ["2024-01-01T00:00:00Z", None], "a": [1, "2.5"], "b": [True, None]})
    assert table.numbers("a").tolist() == [1.0, 2.5]
    assert np.isnan(table.numbers("b")[1])
    assert table.clock("t", "iso").shown[0] == 1_704_067_200
    assert np.isnan(table.clock("t", "iso").shown[1])
    assert tables.columns({}).rows == 0


@pytest.mark.parametrize(
    ("body", "form", "field"),
    [
        (gzip.compress(TEXT, mtime=0)[:-9], "csv", "log.packed"),
        (b"\x1f\x8bnonsense", "csv", "log.packed"),
        (b"PAR1 and nothing", "parquet", "log.packed"),
        (b"no stream", "arrow", "log.packed"),
    ],
    ids=["cut", "nonsense", "parquet", "arrow"],
)
def test_what_is_no_file(body: bytes, form: tables.PackedForm, field: str) -> None:
    if form != "csv":
        pytest.importorskip("pyarrow")
    with pytest.raises(InputError) as fault:
        tables.packed(body, form)
    assert fault.value.field == field


def test_columns_of_unequal_length() -> None:
    with pytest.raises(InputError) as fault:
        tables.columns({"a": [1], "b": [1, 2]})
    assert fault.value.field == "log.columns"


def test_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "MOST_BYTES", 40)
    with pytest.raises(InputError, match="too large"):
        tables.packed(gzip.compress(TEXT), "csv")
    monkeypatch.setattr(tables, "MOST_ROWS", 1)
    with pytest.raises(InputError, match="more rows"):
        tables.text(TEXT)


def test_without_pyarrow_only_text_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        raise ImportError(name)

    monkeypatch.setattr("importlib.import_module", missing)
    with pytest.raises(InputError) as fault:
        tables.packed(b"", "parquet")
    assert fault.value.field == "log.form"


@pytest.mark.parametrize("form", ["arrow", "parquet"])
def test_arrow_and_parquet_say_what_text_says(form: tables.PackedForm) -> None:
    arrow = pytest.importorskip("pyarrow")
    when = np.array(["2024-01-01T00:00", "2024-01-01T00:01"], "datetime64[us]")
    table = arrow.table({
        "local": when, "utc": arrow.array(when, arrow.timestamp("us", "UTC")), "text": ["2024-01-01T00:00:00Z", None],
        "count": [1_704_067_200, 1_704_067_260], "a": [1.5, None], "b": [True, None], "word": ["2.5", None],
    })  # fmt: skip
    stream = io.BytesIO()
    if form == "parquet":
        pytest.importorskip("pyarrow.parquet").write_table(table, stream)
    else:
        with pytest.importorskip("pyarrow.ipc").new_stream(stream, table.schema) as writer:
            writer.write_table(table)
    found = tables.packed(stream.getvalue(), form)
    assert (found.rows, found.unreadable, found.headers[0]) == (2, 0, "local")
    for name in ("a", "b", "word"):
        assert np.isnan(found.numbers(name)).tolist() == [False, True]
    assert found.numbers("word")[0] == 2.5
    assert np.isnan(found.clock("local", "iso").offset).all()
    assert found.clock("utc", "iso").offset.tolist() == [0.0, 0.0]
    forms: dict[str, stamps.StampForm] = {"local": "iso", "utc": "iso", "text": "iso", "count": "epoch-seconds"}
    starts = [found.clock(name, form).shown[0] for name, form in forms.items()]
    assert starts == [1_704_067_200.0] * 4
