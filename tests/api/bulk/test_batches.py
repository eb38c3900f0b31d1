"""Record batches in and out: the columns are fixed, the numbers those of the other ways in."""

import pickle
from typing import Any

import pyarrow as pa
import pytest

from witnessmark.api.bulk import compute_batch, engines
from witnessmark.api.bulk.batches import Batches
from witnessmark.api.problems import ProblemError
from witnessmark.bulk import arrow_rows
from witnessmark.errors import InputError, UnknownNameError

WORK = Batches("superheat", same=(("refrigerant", "R-407C"), ("compressor", "scroll")), keep=("unit",), report_in="IP")
ROWS = {
    "unit": ["a", None, "c", "d"],
    "pressure[psig]": [60.0, None, -900.0, 61.5],
    "temperature[degF]": [50.0, 51.0, 52.0, 49.0],
}
MIXED = (
    ("supply-unbalance", {"voltages.0[V]": [400.0], "voltages.1[V]": [398.0], "voltages.2[V]": [405.0]}),
    ("saturation", {"refrigerant": ["R-32"], "temperature[degC]": [5]}),
)


def test_the_answers_are_those_of_the_other_ways() -> None:
    found = WORK.compute_batch(pa.record_batch(ROWS))
    columns = {name: cells for name, cells in ROWS.items() if name != "unit"}
    own = compute_batch("superheat", columns, "IP", refrigerant="R-407C", compressor="scroll").columns
    assert found["unit"].to_pylist() == ROWS["unit"]
    for name, cells in own.items():
        there = [None if cell != cell else cell for cell in cells]  # noqa: PLR0124 - NaN
        assert found[name].to_pylist() == there, name
    assert [code is None for code in found["error_code"].to_pylist()] == [True, False, False, True]


def test_columns_are_fixed_whatever_the_rows() -> None:
    batch = pa.record_batch(ROWS)
    schemas = {
        str(WORK.compute_batch(part).schema) for part in (batch, batch.slice(0, 1), batch.slice(1, 1), batch[:0])
    }
    assert schemas == {str(WORK.schema(batch.schema))}


@pytest.mark.parametrize(("name", "columns"), MIXED)
def test_no_type_that_an_engine_lacks(name: str, columns: dict[str, list[object]]) -> None:
    batch = pa.record_batch(columns)
    found = Batches(name).compute_batch(batch)
    assert {str(field.type) for field in found.schema} <= {"double", "int64", "bool", "string"}
    assert found["error_code"].to_pylist() == [None]
    assert engines.spark_columns(found.schema).count("`") == 2 * len(found.schema)


def test_large_batches_and_streams(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = WORK.compute_batch(pa.record_batch(ROWS))
    monkeypatch.setattr(arrow_rows, "MOST_ROWS", 3)
    assert WORK.compute_batch(pa.record_batch(ROWS)).equals(whole)
    parts = list(WORK.each([pa.record_batch(ROWS)[:2], pa.record_batch(ROWS)[2:]]))
    assert pa.concat_batches(parts).equals(whole)


def test_it_travels() -> None:
    assert pickle.loads(pickle.dumps(WORK)) == WORK  # noqa: S301 - our own


def test_what_stands_once_for_all() -> None:
    notes = WORK.notes(pa.record_batch(ROWS))
    assert (notes["rows"], notes["failed"]) == (4, 2)
    assert any("sea level" in text for text in notes["assumptions"])
    assert "coolprop" in {note["id"] for note in notes["sources"]}


def test_what_cannot_be_used() -> None:
    given = pa.record_batch(ROWS)
    with pytest.raises(UnknownNameError):
        Batches("superhet").compute_batch(given)
    with pytest.raises(ProblemError):
        Batches("superheat").compute_batch(given)
    with pytest.raises(InputError, match="no such column"):
        Batches("superheat", keep=("nowhere",)).schema(given.schema)


class Frame:
    """Stands for a frame of an engine, which hands batches to a function."""

    def __init__(self, table: pa.Table) -> None:
        self.table = table

    def mapInArrow(self, function: object, schema: str) -> tuple[pa.Table, str]:  # noqa: N802 - the engine's name
        return pa.Table.from_batches(list(function(iter(self.table.to_batches())))), schema  # type: ignore[operator]

    def map_batches(self, function: object, batch_format: str, fn_args: tuple[object, ...]) -> pa.Table:
        assert batch_format == "pyarrow"
        return function(self.table, *fn_args)  # type: ignore[operator]


def test_engines_are_asked_in_their_words() -> None:
    """The engines themselves: `make cluster`."""
    table = pa.table(ROWS)
    wanted = pa.Table.from_batches([WORK.compute_batch(pa.record_batch(ROWS))])
    found, columns = engines.on_spark(Frame(table), WORK, table.schema)
    assert found.equals(wanted)
    assert columns.startswith("`unit` string, `refrigerant` string, `saturation_temperature[degF]` double")
    assert engines.on_ray(Frame(table), WORK).equals(wanted)
    assert engines.block(table.slice(0, 0), WORK).schema == wanted.schema


class Partitions:
    """Stands for a Dask frame."""

    def __init__(self, whole: Any) -> None:
        self.whole, self._meta = whole, whole.iloc[:0]

    def map_partitions(self, function: Any, work: Batches, meta: Any) -> list[Any]:
        return [meta, *(function(part, work) for part in (self.whole.iloc[:1], self.whole.iloc[1:], self.whole[:0]))]


def test_partitions_of_pandas() -> None:
    pytest.importorskip("pandas")
    wanted = WORK.compute_batch(pa.record_batch(ROWS))
    meta, *parts = engines.on_dask(Partitions(engines.to_pandas(pa.table(ROWS))), WORK)
    assert all((part.dtypes == meta.dtypes).all() for part in parts)
    found = pa.concat_tables(pa.Table.from_pandas(part, preserve_index=False) for part in parts)
    assert found.to_pydict() == pa.Table.from_batches([wanted]).to_pydict()
