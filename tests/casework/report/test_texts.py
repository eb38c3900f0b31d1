"""The one catalogue of what a report says."""

from pathlib import Path

import pytest

from witnessmark import data
from witnessmark.casework.report import texts

FOLDER = Path(texts.__file__).parent


def test_fields_are_filled_in() -> None:
    assert texts.catalogue("en")("gate_left", count=3) == "3 checks stand before a start."
    with pytest.raises(KeyError):
        texts.catalogue("en")("gate_left")


def test_a_count_takes_its_plural_form() -> None:
    assert texts.catalogue("en")("gate_left", count=1) == "1 check stands before a start."
    assert texts.catalogue("es")("gate_left", count=1) == "Falta 1 comprobación antes de un arranque."
    assert texts.catalogue("es")("gate_left", count=0) == "Faltan 0 comprobaciones antes de un arranque."


def test_every_text_is_used_and_every_used_one_is_there() -> None:
    source = "".join(path.read_text("utf-8") for path in FOLDER.glob("*.py"))
    routes = Path(texts.__file__).parents[2] / "api" / "routes"
    source += "".join((routes / name).read_text("utf-8") for name in ("case_report.py", "case_picture.py"))
    built = {f"evidence_head_{word}" for word in ("finding", "state", "weight", "text")}
    built |= {f"head_{word}" for word in ("material", "nominal", "recovered", "missing", "verdict")}
    built |= {"modes_caption", "causes_caption", "gate_left_one", "evidence_left_one"}
    unused = {key for key in texts.fields("en") if f'"{key}"' not in source.replace("'", '"')} - built
    assert unused == set()


def test_a_language_that_misses_a_text_stops_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    texts.each_language_says_the_same()
    monkeypatch.setattr(texts, "TEXTS", lambda: {"xx": {}})
    with pytest.raises(data.DataError, match="languages"):
        texts.each_language_says_the_same()
    monkeypatch.setattr(texts, "TEXTS", lambda: {"en": {"a": "{b}"}, "xx": {"a": "{c}"}})
    monkeypatch.setattr(texts, "words", lambda _: ("en", "xx"))
    with pytest.raises(data.DataError, match="xx: not the keys and fields"):
        texts.each_language_says_the_same()
