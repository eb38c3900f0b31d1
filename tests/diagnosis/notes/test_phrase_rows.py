"""The wording file is refused with the row and the key that are at fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.data import DataError, parsed
from witnessmark.diagnosis.catalogue.knowledge import shipped
from witnessmark.diagnosis.notes.phrase_rows import PHRASES, Phrases


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("\n[[topic]]\nfindings", "\n[[topic]]\nfinding", "topic 1, findings: Field required"),
        ('\n[[phrase]]\nfindings = ["', '\n[[phrase]]\nweigth = 0.5\nfindings = ["', "phrase 1, weigth: Extra inputs"),
        ('source = "common-practice"', 'source = "hearsay"', "source: Value error, no such source: hearsay"),
        ("[decoys]", "[decoy]", "decoys: Field required"),
    ],
)
def test_faults(tmp_path: Path, old: str, new: str, fault: str) -> None:
    text = shipped().joinpath("phrases.toml").read_text("utf-8")
    assert old in text
    (tmp_path / "phrases.toml").write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(DataError, match=fault):
        parsed(tmp_path / "phrases.toml", "phrases.toml", Phrases)


def test_what_a_row_leaves_out() -> None:
    (plain,) = {(row.state, row.weight, row.tight) for row in PHRASES().phrase[:1]}
    assert plain == ("present", 1.0, False)
    assert PHRASES().topic[1].ok == ("NEGATIVE", "OK")
