"""Rows of JSON whose cells are named like columns: what is wrong with a cell is said of that cell and of no other."""

from typing import Any

import pytest

from witnessmark.api.bulk.compute import answered, find
from witnessmark.api.bulk.inputs import bind, inputs
from witnessmark.api.bulk.ndjson import _table, unfolded
from witnessmark.api.bulk.outputs import Told
from witnessmark.api.bulk.requests import Rows
from witnessmark.bulk.csv_rows import _slow

SOUND = '{"refrigerant":"R-410A","pressure[psig]":118,"temperature[degF]":52%s}'


def answers(name: str, lines: list[str]) -> dict[str, Any]:
    found = find(name)
    table = _table([line.encode() for line in lines], inputs(found.request), ())
    sheet, _ = answered(found, Rows(table, bind(found.request, list(table.columns))), Told("SI"))
    return sheet.python()


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ("", None),
        (',"surprise":1', "surprise: no such field"),
        (',"pressure.uncertainty[psi]":1,"surprise":1', "surprise: no such field"),
    ],
)
def test_the_fault_of_a_row_is_its_own(more: str, message: str | None) -> None:
    assert answers("superheat", [SOUND % more])["error_message"] == [message]


def test_a_number_as_text_is_told_as_that() -> None:
    (message,) = answers("superheat", [SOUND.replace("118", '"118"') % ""])["error_message"]
    assert message.startswith("pressure.value: should be a number")


def test_dotted_names_beside_a_list() -> None:
    dotted = '{"machine.compressor":"scroll","findings":[{"finding":"capacity-low","state":"present"}]}'
    nested = '{"machine":{"compressor":"scroll"},"findings":[{"finding":"capacity-low","state":"present"}]}'
    found = answers("diagnosis", [dotted, nested])
    assert found["error_code"] == [None, None]
    for cells in found.values():
        assert cells[0] == cells[1] or cells[0] != cells[0]


def test_what_cannot_be_placed_stays_as_it_is() -> None:
    fields = inputs(find("superheat").request)
    twice = {"pressure[psig]": 1, "pressure[kPag]": "2", "temperature.uncertainty[K]": 1}
    body = unfolded(twice, fields)
    assert body["pressure"]["value"] == 1
    assert body["pressure[kPag]"] == "2"
    assert body["temperature.uncertainty[K]"] == 1


def test_a_blank_beside_others_of_a_list_is_told() -> None:
    """A blank cell may be a terminal that was not read or an open winding: nobody guesses."""
    names = ["phases", *(f"terminals.{k}[ohm]" for k in range(3))]
    found = find("windings")
    table = _slow(
        b"three-phase,1.2,,1.2\nthree-phase,1.2,1.2,1.2\n", names, dict.fromkeys(names, "number") | {"phases": "text"}
    )
    sheet, _ = answered(found, Rows(table, bind(found.request, names)), Told("SI"))
    messages = sheet.python()["error_message"]
    assert messages[0].startswith("terminals: one of its columns is blank")
    assert messages[1] is None


def test_an_unknown_calculation_is_answered_with_all_there_are() -> None:
    with pytest.raises(Exception, match="superheat"):
        find("nothing")
