"""Files of rows: cut into parts that can be sent, and put together again."""

from __future__ import annotations

import argparse
import csv
import gzip
import io
import json
import sys
import zlib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, BinaryIO, cast

FORMS = {".csv": "csv", ".ndjson": "ndjson", ".jsonl": "ndjson", ".parquet": "parquet"}
MEDIA = {"csv": "text/csv", "ndjson": "application/x-ndjson", "parquet": "application/vnd.apache.arrow.stream"}
PACKED = ".gz"
BATCH_ROWS = 250_000
_MARK = b"\xef\xbb\xbf"
Part = tuple[int, bytes]
"""How far the file is read behind the part (bytes, or rows of Parquet), and the part."""


class FileError(Exception):
    """A file, or a word of the command, that cannot be used."""


def form_of(name: str, wanted: str | None, *, packed: bool = False) -> str:
    """csv, ndjson or parquet, by the ending of the name. packed: whether the first two may be packed (.gz)."""
    if name == "-":
        return wanted or "csv"
    if packed and is_packed(name):
        form = FORMS.get(Path(Path(name).stem).suffix.lower())
        if form in {"csv", "ndjson"}:
            return form
    if (form := FORMS.get(Path(name).suffix.lower())) is None:
        raise FileError(f"{name}: its form is not known; accepted endings: {', '.join(FORMS)}")
    return form


def is_packed(name: str) -> bool:
    """Whether a file is packed with gzip, by its ending."""
    return name.lower().endswith(PACKED)


def spare(read: str, *written: str) -> None:
    """FileError where a file that is written would take the place of the one that is read, under whatever name."""
    for name in written:
        if "-" in (read, name) or not Path(read).exists():
            continue
        same = Path(name).resolve() == Path(read).resolve() or (Path(name).exists() and _one(name, read))
        if same or (Path(name).is_dir() and Path(name).resolve() in Path(read).resolve().parents):
            raise FileError(f"{name}: would be written over {read}, which is read; give --out another name")


def unwritten(*names: str) -> None:
    """FileError where a file that is written is there already: whoever wants it replaced says so."""
    for name in names:
        if name != "-" and (Path(name).is_file() or Path(name).is_dir()):
            raise FileError(f"{name}: is there already; give --overwrite to replace it, or --out another name")


def overwritable(parser: argparse.ArgumentParser) -> None:
    """Add the word that lets a file be replaced."""
    parser.add_argument("--overwrite", action="store_true", help="replace a file of that name (without: refused)")


def _one(first: str, second: str) -> bool:
    return Path(first).samefile(second)


@contextmanager
def opened(name: str) -> Iterator[BinaryIO]:
    """A file, or the standard input."""
    if name == "-":
        yield sys.stdin.buffer
        return
    try:
        with gzip.open(name) if is_packed(name) else Path(name).open("rb") as file:
            yield cast("BinaryIO", file)
    except (OSError, EOFError, zlib.error) as error:
        raise FileError(f"{name}: {getattr(error, 'strerror', None) or error}") from None


def parts(name: str, form: str, size: int, start: int, rename: Mapping[str, str]) -> Iterator[Part]:
    """The parts of a file from `start` on, each of some `size` bytes, with the columns renamed."""
    if form == "parquet":
        yield from _of_parquet(name, start, rename)
        return
    with opened(name) as file:
        head = _renamed(file.readline(), rename) if form == "csv" else b""
        done = file.seek(start) if start else len(head) if name == "-" else file.tell()
        for block in _whole_lines(file, size, quoted=form == "csv"):
            done += len(block)
            yield done, head + block
        if form == "csv" and done == len(head) and not start:
            yield done, head  # a file of a header alone is answered as one


def _renamed(line: bytes, rename: Mapping[str, str]) -> bytes:
    try:
        names = next(csv.reader([line.removeprefix(_MARK).decode("utf-8")]), [])
    except UnicodeDecodeError:
        raise FileError("the first line is not UTF-8") from None
    _known(rename, names)
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([rename.get(name.strip(), name.strip()) for name in names])
    return out.getvalue().encode("utf-8")


def _known(rename: Mapping[str, str], names: Sequence[str]) -> None:
    if odd := [name for name in rename if name not in {one.strip() for one in names}]:
        raise FileError(f"no column {odd[0]!r} to rename; there are: {', '.join(names)}")


def blank_lines(body: bytes, form: str) -> int:
    """Lines of a part that are no rows, and count where rows are numbered."""
    if form == "ndjson":
        return sum(not line.strip() for line in body.removesuffix(b"\n").split(b"\n"))
    if form != "csv" or not (b"\n\n" in body or b"\n\r\n" in body):
        return 0
    return sum(not row for row in csv.reader(io.StringIO(body.decode("utf-8", "replace"), newline="")))


def _whole_lines(file: BinaryIO, size: int, *, quoted: bool) -> Iterator[bytes]:
    rest = b""
    while block := file.read(size):
        rest += block
        if len(block) < size:  # the end of the file
            break
        end = rest.rfind(b"\n") + 1
        while quoted and end and rest.count(b'"', 0, end) % 2:
            end = rest.rfind(b"\n", 0, end - 1) + 1
        if end:
            yield rest[:end]
            rest = rest[end:]
    if rest:
        yield rest


def _arrow() -> tuple[Any, Any]:
    try:
        import pyarrow as pa  # noqa: PLC0415 - an extra of the package
        from pyarrow import parquet  # noqa: PLC0415
    except ModuleNotFoundError:
        raise FileError("Parquet needs pyarrow: pip install 'witnessmark-client[parquet]'") from None
    return pa, parquet


def _of_parquet(name: str, start: int, rename: Mapping[str, str]) -> Iterator[Part]:
    arrow, parquet = _arrow()
    try:
        file = parquet.ParquetFile(sys.stdin.buffer if name == "-" else name)
    except (OSError, arrow.ArrowException) as error:
        raise FileError(f"{name}: {error}") from None
    _known(rename, file.schema_arrow.names)
    done = 0
    for batch in file.iter_batches(BATCH_ROWS):
        done += batch.num_rows
        if done > start:
            sink = arrow.BufferOutputStream()
            named = batch.rename_columns([rename.get(column, column) for column in batch.schema.names])
            with arrow.ipc.new_stream(sink, named.schema) as stream:
                stream.write_batch(named)
            yield done, sink.getvalue().to_pybytes()


def joined(files: Sequence[Path], form: str, out: BinaryIO | str) -> None:
    """The answers of all parts as one file."""
    if form == "parquet":
        _as_parquet(files, out)
        return
    with _target(out) as target:
        for number, file in enumerate(files):
            with file.open("rb") as source:
                if number and form == "csv":
                    source.readline()
                while block := source.read(1 << 20):
                    target.write(block)


@contextmanager
def _target(out: BinaryIO | str) -> Iterator[BinaryIO]:
    if isinstance(out, str):
        with Path(out).open("wb") as file:
            yield file
    else:
        yield out


def _as_parquet(files: Sequence[Path], out: BinaryIO | str) -> None:
    arrow, parquet = _arrow()
    writer = None
    for file in files:
        table = arrow.ipc.open_stream(file.read_bytes()).read_all()
        writer = writer or parquet.ParquetWriter(out, table.schema)
        writer.write_table(table.replace_schema_metadata(writer.schema.metadata))
    if writer is not None:
        writer.close()


def first_bad(content: bytes, form: str, most: int) -> list[tuple[int, str]]:
    """The first rows of an answer with an error, and what it says."""
    found: list[tuple[int, str]] = []
    for row in _rows(content, form):
        if len(found) == most:
            break
        if row.get("error_code"):
            found.append((int(row["row"]), f"{row['error_code']}: {row['error_message']}"))
    return found


def _rows(content: bytes, form: str) -> Iterator[dict[str, Any]]:
    if form == "csv":
        yield from csv.DictReader(io.StringIO(content.decode("utf-8")))
    elif form == "ndjson":
        yield from (json.loads(line) for line in content.splitlines()[1:])
    else:
        arrow, _ = _arrow()
        table = arrow.ipc.open_stream(content).read_all().select(["row", "error_code", "error_message"])
        for batch in table.to_batches():
            yield from batch.to_pylist()
