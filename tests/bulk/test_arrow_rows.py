"""Rows as a stream of record batches."""

import numpy as np
import pyarrow as pa
import pytest

from witnessmark.bulk import arrow_rows
from witnessmark.bulk.sheets import Sheet

END = b"\xff\xff\xff\xff\x00\x00\x00\x00"
CODES = pa.array(["left", "right"]).dictionary_encode()


@pytest.mark.parametrize(
    ("cells", "wanted"),
    [
        (CODES, ["left", "right"]),
        (pa.array([7, 8]).dictionary_encode(), [7, 8]),
        (pa.ListArray.from_arrays([0, 1, 2], CODES), [["left"], ["right"]]),
        (pa.LargeListArray.from_arrays(pa.array([0, 1, 2], pa.int64()), CODES), [["left"], ["right"]]),
        (pa.StructArray.from_arrays([CODES], ["side"]), [{"side": "left"}, {"side": "right"}]),
        (pa.array([1.5, None]), [1.5, None]),
        (["plain", None], ["plain", None]),
    ],
)
def test_kept_columns_come_back_readable_whatever_they_are(cells: object, wanted: list[object]) -> None:
    sheet, kept = Sheet(2, {"margin": "number"}), {"kept": cells}
    body = arrow_rows.head(sheet, kept, {}) + bytes(arrow_rows.written(sheet, kept, np.arange(2))) + END
    assert pa.ipc.open_stream(body).read_all().column("kept").to_pylist() == wanted
