"""The registers of sources and cautions: each id once, each caution with a source that exists."""

from __future__ import annotations

import pytest

from witnessmark.data import DataError
from witnessmark.reference import Caution, Source, caution, cautions, source, sources
from witnessmark.reference.library import joined

ROW = Source(citation="a standard", trust="memory")


def test_every_entry_knows_its_id() -> None:
    assert all(row.id == key for key, row in sources().items())
    assert all(row.id == key and source(row.source) for key, row in cautions().items())
    assert caution("licensed").text.startswith("Advice for a licensed technician")


def test_an_id_that_stands_in_two_files_is_refused() -> None:
    with pytest.raises(DataError, match=r"^second\.toml: already defined elsewhere: a, b$"):
        joined({"first": lambda: {"a": ROW, "b": ROW}, "second": lambda: {"b": ROW, "a": ROW, "c": ROW}})


def test_what_is_not_there_is_a_fault_of_the_code() -> None:
    with pytest.raises(KeyError):
        source("nowhere")
    with pytest.raises(KeyError):
        caution("nowhere")


@pytest.mark.parametrize(
    ("row", "fault"),
    [
        ({"citation": "", "trust": "memory"}, "at least 1 character"),
        ({"citation": "x", "trust": "hearsay"}, "'published'"),
        ({"citation": "x", "trust": "memory", "page": 3}, "Extra inputs"),
        ({"citation": "A compressor maker's guide: 50 % of the charge", "trust": "published"}, "names title or number"),
        ({"citation": "An installation manual, 2 %", "trust": "published, second hand"}, "names title or number"),
        ({"citation": "EN 378-2:2016, 2 %", "trust": "published"}, "where in the document"),
        (
            {"citation": "'They fail', The Trade News, May 2002: 2 %", "trust": "published"},
            "where in the document",
        ),
        ({"citation": "ASHRAE Standard 63.1-1995 (RA 2001), 3.3 kPa", "trust": "published"}, "where in the document"),
    ],
)
def test_a_source_that_cannot_be_is_refused(row: dict[str, object], fault: str) -> None:
    with pytest.raises(ValueError, match=fault):
        Source.model_validate(row)


@pytest.mark.parametrize(
    "citation",
    [
        "IAPWS R14-08(2011), equation 6",
        "NEMA MG 1, 14.36 and 12.45: not above 5 %",
        "Zivi: Estimation of a fraction, J. Heat Transfer 86 (1964) 247-252",
        "Home Energy, 'Fast checks for refrigerant charge?', May/June 2002 (homeenergy.org)",
        "40 CFR 82.156: evacuation",
        "40 CFR 82.157(a)",
        "'Oil acid test kit method', figure 3",
        "A handbook, page 86",
        "EN 837-1, Table 11",
    ],
)
def test_a_source_that_a_stranger_can_find_is_published(citation: str) -> None:
    assert Source(citation=citation, trust="published").trust == "published"


def test_no_published_source_is_a_kind_of_document_only() -> None:
    """What begins like "A maker's guide" names a kind of paper, not a paper."""
    kinds = ("A ", "An ", "Another ", "Trade ", "Service manuals", "Compressor makers", "Multi-split")
    named = [row.id for row in sources().values() if row.trust == "published" and row.citation.startswith(kinds)]
    assert named == []


def test_a_caution_without_text_or_with_a_source_that_does_not_exist_is_refused() -> None:
    with pytest.raises(ValueError, match="at least 1 character"):
        Caution(text="", source="common-practice")
    with pytest.raises(ValueError, match="no such source: nowhere"):
        Caution(text="x", source="nowhere")
