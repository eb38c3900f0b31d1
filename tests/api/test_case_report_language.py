"""POST /v1/cases/report in another language: of English only names of documents and a caller's words are left."""

import ast
import inspect
import json
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

import pytest
from starlette.testclient import TestClient

from witnessmark.api.routes import case_report
from witnessmark.api.routes.case_parts import OPERATIONS
from witnessmark.api.schemas.case import CaseRequest
from witnessmark.api.schemas.case_report import ReportRequest
from witnessmark.calculations.circuit.superheat import MarginVerdict
from witnessmark.calculations.compressor.operating_limits import OperatingVerdict
from witnessmark.calculations.electrical.winding_rules import WindingVerdict
from witnessmark.calculations.samples.oil_quality import OilVerdict
from witnessmark.calculations.samples.refrigerant_quality import PurityVerdict
from witnessmark.calculations.tightness.decay_rules import EvacuationVerdict
from witnessmark.calculations.tightness.pressure_test import PressureTestVerdict
from witnessmark.casework.report.blocks import Section
from witnessmark.casework.report.owner import owner
from witnessmark.casework.report.texts import catalogue
from witnessmark.casework.report.whole import report
from witnessmark.cleanup.debris_rules import BalanceVerdict
from witnessmark.cleanup.log_verdict import LogVerdict
from witnessmark.demo import cases
from witnessmark.diagnosis.case import ReportState
from witnessmark.diagnosis.evidence.evidence import READING, SILENT
from witnessmark.language.catalogue import FIRST, Language, translator
from witnessmark.restart.gate import StartVerdict
from witnessmark.vocabulary import words

SAME = {"Material", "Decibans"}  # words of Spanish or Portuguese too
OTHERS = [language for language in words(Language) if language != FIRST]
ENGLISH = re.compile(r"\b(the|and|is|are|was|of|with|not|has|have|its|from|this|that|were|been|which)\b")


def texts(part: Any) -> Iterator[str]:
    """Every text of a report."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for inner in part:
            yield from texts(inner)
    elif is_dataclass(part):
        for field in fields(part):
            yield from texts(getattr(part, field.name))


def sections(case: dict[str, Any], language: Language) -> tuple[Section, ...]:
    """What the report says, without its sources, whose names stay as they are."""
    body = ReportRequest.model_validate({"case": case})
    request = CaseRequest(case=body.case, want=case_report._ALL)  # noqa: SLF001 - as the route asks
    whole = report(case_report._material(body, request, None, language))  # noqa: SLF001 - without drawing
    return tuple(section for section in whole.sections if section.title != catalogue(language)("sources"))


PSI = {"value": 38, "unit": "barg"}
ROOM = {"value": 22, "unit": "degC"}
SCROLL = {"compressor": "scroll", "drive": "fixed-speed", "phases": "three-phase", "application": "air-conditioning"}
STAGE = {
    "start_pressure": PSI,
    "start_temperature": ROOM,
    "end_pressure": {"value": 36, "unit": "barg"},
    "end_temperature": ROOM,
    "duration": {"value": 24, "unit": "h"},
}
SWAPPED = {
    "running": True,
    "suction_pressure": {"value": 28, "unit": "barg"},
    "discharge_pressure": {"value": 8, "unit": "barg"},
    "suction_temperature": {"value": 12, "unit": "degC"},
    "liquid_temperature": {"value": 40, "unit": "degC"},
}
ODD: dict[str, dict[str, Any]] = {
    "one line": {"complaint": "not cooling"},
    "nothing understood": {"complaint": "compressor noisy"},
    "nothing": {"complaint": ""},
    "replaced": {"complaint": "terminal blew out", "work_done": [{"text": "Compressor replaced"}]},
    "removed": {"complaint": "one loud bang", "work_done": [{"text": "Compressor removed"}]},
    "leaking": {
        "complaint": "dead",
        "refrigerant": "R-410A",
        "machine": SCROLL,
        "before_start": {"pressure_tests": [{"side": "whole", "stages": [STAGE]}]},
    },
    "swapped": {"complaint": "dead", "refrigerant": "R-410A", "machine": SCROLL, "readings": [{"values": SWAPPED}]},
    "two gases": {"complaint": "R22 unit not cooling", "refrigerant": "R-410A"},
    "times": {
        "complaint": "dead",
        "complaint_at": "2026-07-05T10:00",
        "as_of": "2026-07-01T10:00+00:00",
        "start": "2026-07-02T10:00",
        "readings": [{"at": "2026-07-04T10:00", "values": {"running": False}}],
    },
    "signs": {
        "complaint": "dead",
        "signs": {"burn": "winding", "acid_test": "positive", "debris": ["metal-fines"], "deposits": []},
    },
    "unknown refrigerant": {
        "complaint": "dead",
        "refrigerant": "R-999",
        "readings": [{"values": {"suction_pressure": PSI, "suction_temperature": ROOM}}],
    },
    "two applications": {
        "complaint": "dead",
        "machine": {"application": "low-temperature"},
        "circumstances": {"equipment": "medium-temperature"},
        "findings": [{"finding": "oil-burnt", "state": "present"}],
    },
    "cooling and oil port not said": {
        "complaint": "dead",
        "refrigerant": "R-410A",
        "start": "2026-03-02T10:00",
        "machine": {"oil": "POE", "evaporating_temperature": {"value": 5, "unit": "degC"}},
        "signs": {"burn": "winding"},
        "readings": [{"values": {**SWAPPED, "discharge_pressure": PSI, "discharge_temperature": ROOM}}],
    },
    "above the critical point": {
        "complaint": "noisy",
        "refrigerant": "R-744",
        "readings": [{"values": {"running": True, "discharge_pressure": {"value": 88, "unit": "barg"}}}],
    },
}


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("name", [*cases.names(), *ODD])
def test_a_case_leaves_no_english(name: str, language: Language) -> None:
    case = ODD[name] if name in ODD else cases.everything()[name]
    written = json.dumps(case, ensure_ascii=False)
    own = [note["text"] for note in case.get("notes", ())] + [step["text"] for step in case.get("work_done", ())]
    own += [case["complaint"]] if case["complaint"] else []
    told = list(texts(sections(case, language)))
    pairs = zip(texts(sections(case, FIRST)), told, strict=True)
    same = {ours for ours, theirs in pairs if ours == theirs and re.search("[A-Za-z]{5}", ours) and ours not in written}
    same = {text for text in same if not text.endswith(" micron")}  # a unit
    assert {text for text in same if not any(mine in text for mine in own)} - SAME == set()
    mixed = {text for text in told if ENGLISH.search(text) and not any(mine[:100] in text for mine in own)}
    assert mixed == set()


@pytest.mark.parametrize("language", OTHERS)
def test_every_state_of_a_piece_of_evidence_is_told(language: Language) -> None:
    word = translator(language)
    assert not [state for state in (*words(ReportState), READING, SILENT) if word(state) == state != "normal"]


VERDICTS = (
    BalanceVerdict, EvacuationVerdict, LogVerdict, MarginVerdict, OilVerdict, OperatingVerdict,
    PressureTestVerdict, PurityVerdict, StartVerdict, WindingVerdict,
)  # fmt: skip


@pytest.mark.parametrize("language", OTHERS)
def test_every_verdict_of_a_part_is_told(language: Language) -> None:
    said = {str(word): translator(language)(str(word)) for verdict in VERDICTS for word in words(verdict)}
    assert {word for word, other in said.items() if word == other} - {"normal"} == set()


def test_the_header_or_the_request_decides(client: TestClient) -> None:
    case = {"complaint": "won't start, just hums"}
    headers = {"accept": "text/markdown", "accept-language": "es-MX, en;q=0.5"}
    told = client.post("/v1/cases/report", json={"case": case}, headers=headers)
    assert told.headers["content-language"] == "es"
    assert "Accept-Language" in told.headers["vary"]
    assert told.text.startswith("# Informe de compresor: aún sin resolver")
    assert "aún no ha leído un técnico nativo" in told.text
    english = client.post("/v1/cases/report", json={"case": case, "language": "en"}, headers=headers)
    assert english.headers["content-language"] == "en"
    assert english.text.startswith("# Compressor report: not settled yet")


def test_words_of_the_owner_are_not_ids() -> None:
    body = ReportRequest.model_validate({"case": {"complaint": "hums"}, "language": "es"})
    request = CaseRequest(case=body.case, want=case_report._ALL)  # noqa: SLF001 - as the route asks
    shown = list(owner(case_report._material(body, request, None, "es")))  # noqa: SLF001 - without drawing
    assert shown[0] is not None
    assert shown[0].title == "Para el propietario"


TAKEN = tuple(
    line
    for line in """
Complaint and notes: only the first 20,000 characters were read.
First-order propagation does not hold here: the interval is from seeded random draws.
Not dry by this: no pull was as deep as 500 micron, which a dry circuit holds. It is about air alone.
Oil port not said; both ways of testing for acid are named.
Suction superheat at the filter: 6 K.
Design pressure, high side: no nameplate given, saturation at its design temperature.
""".strip().splitlines()
)


@pytest.mark.parametrize("language", OTHERS)
def test_what_a_part_took_for_granted_is_told(language: Language) -> None:
    say = translator(language)
    assert [text for text in TAKEN if ENGLISH.search(say(text))] == []
    assert [text for text in assumed_as_written() if say(text) == text] == []


def assumed_as_written() -> Iterator[str]:
    """Every whole sentence that an operation of a case assumes as it stands in its code."""
    for module in {inspect.getmodule(operation) for operation in OPERATIONS.values()}:
        assert module is not None
        for call in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and call.func.attr == "assume":
                told = call.args[0]
                if isinstance(told, ast.Constant) and isinstance(told.value, str):
                    yield told.value
