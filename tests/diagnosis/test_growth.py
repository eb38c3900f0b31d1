"""A new finding is three rows of data: nothing else need know of it, and nothing of what is there changes."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest

from witnessmark.api.app import app
from witnessmark.data import parsed
from witnessmark.diagnosis.case import Case, Machine, Report
from witnessmark.diagnosis.catalogue.knowledge import Knowledge, load, shipped
from witnessmark.diagnosis.diagnose import diagnose
from witnessmark.diagnosis.notes import vocabulary
from witnessmark.diagnosis.notes.matching import match
from witnessmark.diagnosis.notes.phrase_rows import Phrases

FINDING = """
[[finding]]
id = "oil-smells-of-solvent"
text = "Oil smells of solvent"
opposite = "Oil without a smell of solvent"
kind = "yes-no"
group = "oil"
stage = "field"
background = 0.06
reliability = 0.94
mention.note = { present = 0.3, absent = 0.05 }
rationale = "made up for a test"
source = "elicited"
reviewed = "2026-11"
[finding.check]
minutes = 5
cost = 2
how = "Draw oil into a clear bottle, smell from a distance."
hazards = ["burnout-oil-acid", "refrigerant-release"]
"""
LINK = """
  { mode = "general-burnout", finding = "oil-smells-of-solvent", state = "present", probability = 0.4, \
rationale = "made up for a test", source = "elicited", reviewed = "2026-11" },
"""
PHRASE = """
[[phrase]]
findings = ["oil-smells-of-solvent"]
words = ["OIL solvent"]
"""
KNOWN = Case(Machine("scroll", "low-side", "fixed-speed"), (Report("oil-burnt", "present"),))


@pytest.fixture(scope="module")
def grown(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shipped knowledge with one more finding in the midst of the others, its link and its wording."""
    folder = Path(shutil.copytree(str(shipped()), tmp_path_factory.mktemp("grown") / "knowledge"))
    for name, before, rows in (
        ("findings.toml", '\n[[finding]]\nid = "metal-fines-in-oil"', FINDING),
        ("links-mode-finding.toml", "\n  # flooded-start", LINK),
        ("phrases.toml", "\n[[phrase]]", PHRASE),
    ):
        text = (folder / name).read_text("utf-8")
        assert before in text
        (folder / name).write_text(text.replace(before, rows + before, 1), "utf-8")
    return folder


def test_it_loads_and_is_asked_for_like_any_other(grown: Path, shipped: Knowledge) -> None:
    wider = load(grown)
    assert wider.findings.keys() - shipped.findings.keys() == {"oil-smells-of-solvent"}
    report = Report("oil-smells-of-solvent", "present")
    burnt = {h.id: h.probability for h in diagnose(Case(KNOWN.machine, (*KNOWN.findings, report)), wider).modes}
    before = {h.id: h.probability for h in diagnose(KNOWN, wider).modes}
    assert burnt["general-burnout"] > before["general-burnout"]


def test_what_was_known_is_answered_as_before(grown: Path, shipped: Knowledge) -> None:
    now = {h.id: h.probability for h in diagnose(KNOWN, load(grown)).modes}
    assert now == pytest.approx({h.id: h.probability for h in diagnose(KNOWN, shipped).modes}, abs=1e-6)


def test_notes_are_understood_to_speak_of_it(grown: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    wording = parsed(grown / "phrases.toml", "phrases.toml", Phrases)
    compiled = vocabulary.compiled(wording)
    monkeypatch.setattr("witnessmark.diagnosis.notes.matching.vocabulary", lambda: compiled)
    assert [(m.finding, m.state) for m in match("solvent in the oil")] == [("oil-smells-of-solvent", "present")]


def test_the_contract_does_not_list_findings(shipped: Knowledge) -> None:
    """So that one more of them breaks no caller and changes no file of the contract."""
    document = json.dumps(app.openapi()["components"]["schemas"])
    closed = {word for choices in re.findall(r'"enum": \[([^\]]*)\]', document) for word in json.loads(f"[{choices}]")}
    assert "three-way" in closed
    same_word = {"charge-added-repeatedly"}  # a circumstance of the request, which is a closed list
    assert closed & {*shipped.findings, *shipped.modes, *shipped.causes} == same_word
