"""The part for the warranty desk: evidence, readings, reasoning, what was not checked, tests, timeline."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from witnessmark.casework.report import charts, measured
from witnessmark.casework.report.blocks import Paragraph, Section, Signatures, Table, bullets, paragraph, section, table
from witnessmark.casework.report.free_text import line
from witnessmark.casework.report.material import Material, raised
from witnessmark.casework.report.owner import percent
from witnessmark.casework.summary import VISIBLE
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.restart.gate import StatedOutcome
from witnessmark.vocabulary import words

KINDS = {"found": "readings_found", "sound": "readings_sound", "after-repair": "readings_repaired"}
MOST_ROWS = 14
"""Findings in the table of evidence."""


def desk(material: Material) -> Iterator[Section | None]:
    """The sections of the part for the warranty desk."""
    say = material.say
    yield section(say("desk"), level=2, new_page=True)
    yield section(say("verdict"), paragraph(material.of("diagnosis.verdict.text"), strong=True), *_ranked(material))
    yield section(say("evidence"), _evidence(material), _left_out(material), charts.evidence(material))
    yield section(say("contradictions"), bullets(list(material.contradictions)))
    yield section(say("readings"), *_readings(material), _tested(material), _derived(material))
    yield section(say("cycle"), material.diagram)
    yield section(say("reasoning"), bullets(_reasoning(material)))
    yield section(say("not_checked"), bullets(list(_unchecked(material))))
    told = (*_verdicts(material, ("insulation", "windings", "supply")), *_insulation(material))
    yield section(say("electrical"), bullets(list(told)), *measured.electrical(material))
    yield section(say("oil"), bullets(list(_verdicts(material, ("oil", "refrigerant")))), *measured.oil(material))
    yield section(say("fragments"), paragraph(material.of("debris.statement")), *_fragments(material))
    yield section(say("cleanup"), measured.as_sent(material, "signs", "sent_signs"), *_cleanup(material))
    core = (paragraph(_filter(material)), *measured.core(material), charts.filter_drop(material))
    yield section(say("filter_log"), *core)
    tight = (*measured.pressure(material), *measured.vacuum(material), charts.vacuum(material))
    yield section(say("tightness"), bullets(list(_tightness(material))), *tight)
    yield section(
        say("restart"),
        _gate(material),
        measured.as_sent(material, "before_start", "sent_before_start", measured.PROVED),
    )
    yield section(say("timeline"), _timeline(material))
    yield section(say("photographs"), *material.photographs)
    yield section(say("more_cautions"), bullets(list(material.cautions[VISIBLE:])))
    yield section(say("assumed"), bullets(list(material.assumptions), small=True))
    yield section(say("sources"), bullets(list(material.sources), numbered=True, small=True))
    yield section(say("signatures"), Signatures((say("sign_technician"), say("sign_owner"), say("sign_desk"))))


def _reasoning(material: Material) -> list[str]:
    """The explanations of what leads; where nothing is wrong none of them is told of what is unlikely."""
    found = () if material.sound else material.of("diagnosis.explanations") or ()
    return [told["text"] for told in found]


def _ranked(material: Material) -> Iterator[Table | None]:
    say = material.say
    name, words_of = say("head_name"), say("head_words")
    tables = (
        ("modes", ("probability",), (name, say("head_probability"), words_of)),
        ("causes", ("probability", "at_work"), (name, say("head_there"), say("head_at_work"), words_of)),
    )
    for kind, measures, heads in tables:
        rows = [
            (row["name"], *(f"{percent(row[one])} %" for one in measures), material.likelihood(row[measures[-1]]))
            for row in material.of(f"diagnosis.{kind}") or ()
        ]
        yield table(say(f"{kind}_caption"), heads, rows)


def _evidence(material: Material) -> Table | None:
    say, told = material.say, material.leading_mode()
    alone = {weight["finding"]: weight["alone"] for weight in told["weights"]} if told else {}
    rows = []
    weightiest = sorted(material.of("diagnosis.used") or (), key=lambda used: -abs(alone.get(used["finding"], 0.0)))
    for used in weightiest[:MOST_ROWS]:
        finding = _finding(material, used["finding"])
        side = (_side(material, alone.get(used["finding"])),) if told else ()
        text = "" if used["text"] == finding else used["text"]
        rows.append((finding, material.word(used["state"]), *side, text))
    head = ("finding", "state", "weight", "text") if told else ("finding", "state", "text")
    caption = say("evidence_caption", mode=material.word(told["name"])) if told else say("evidence_plain")
    return table(caption, tuple(say(f"evidence_head_{word}") for word in head), rows)


def _left_out(material: Material) -> Paragraph | None:
    left = len(material.of("diagnosis.used") or ()) - MOST_ROWS
    return Paragraph(material.say("evidence_left", count=left)) if left > 0 else None


def _finding(material: Material, key: str) -> str:
    row = knowledge().findings.get(key)
    return key.replace("-", " ") if row is None else material.word(row.text)


STRONG, SAYS_LITTLE = 6.0, 1.0
"""Decibans: four to one, the most that a finding gives that merely belongs to trouble, and next to even chances."""


def _side(material: Material, alone: float | None) -> str:
    """Whether a finding speaks for or against the leading mode, in words."""
    say, strong = material.say, alone is not None and abs(alone) >= STRONG
    if alone is None or abs(alone) < SAYS_LITTLE:
        return say("evidence_neither")
    if alone > 0:
        return say("evidence_for_strong") if strong else say("evidence_for")
    return say("evidence_against_strong") if strong else say("evidence_against")


def _readings(material: Material) -> Iterator[Table | None]:
    say = material.say
    head = (say("head_reading"), say("head_value"), say("head_accuracy"))
    for position, entry in enumerate(material.told("readings") or ()):
        told = entry.get("instruments")
        kind = KINDS[entry.get("of", "found")] if material.failed or entry.get("of") else "readings_plain"
        caption = say(
            "readings_caption",
            kind=say(kind),
            when=str(entry.get("at", say("undated")))[:16].replace("T", " "),
            instruments=say("with_instruments", text=line(told)) if told else "",
        )
        rows = [
            (material.name(f), material.quantity(v), material.accuracy(position, f)) for f, v in entry["values"].items()
        ]
        yield table(caption, head, rows)


_TESTED = (
    ("winding_resistances", "tests_of_failure.windings.terminals"),
    ("insulation_resistance", "tests_of_failure.insulation.resistance"),
    ("winding_temperature", "tests_of_failure.insulation.temperature"),
    ("altitude", "site.altitude"),
    ("barometer", "site.barometer"),
)
"""What was measured elsewhere than in a set of readings: as it came, not as it was corrected."""


def _tested(material: Material) -> Table | None:
    """What the tests of the failure measured, where the machine stands, and what is told of its history."""
    say = material.say
    rows = [(material.name(name), material.quantity(told)) for name, path in _TESTED if (told := material.told(path))]
    known = knowledge().findings
    history = [_finding(material, key) for key in material.told("circumstances.history") or () if key in known]
    rows += [(material.name("history"), text) for text in history]
    return table(say("tested_caption"), (say("head_reading"), say("head_value")), rows)


def _derived(material: Material) -> Table | None:
    say = material.say
    rows = [(number["text"], material.quantity(number["value"])) for number in material.of("diagnosis.derived") or ()]
    return table(say("derived_caption"), (say("head_number"), say("head_value")), rows)


def _unchecked(material: Material) -> Iterator[str]:
    say = material.say
    for check in material.checks():
        yield say("not_checked_check", text=check["text"])
    for sign in material.of("cleanup.severity.not_looked_at") or ():
        yield say("not_checked_sign", text=sign)
    for part, why in material.aside.items():
        yield say("not_checked_part", part=raised(material.wanting(part)), why=raised(why))


def _verdicts(material: Material, parts: tuple[str, ...]) -> Iterator[str]:
    for part in parts:
        if verdict := material.of(f"{part}.verdict"):
            yield material.say("electrical_line", part=material.part(part), verdict=verdict)


def _insulation(material: Material) -> Iterator[str]:
    """What was measured, and apart from it what the rules make of it at 40 °C."""
    asked, corrected = material.insulation, material.of("insulation.corrected") or ()
    if asked and corrected:
        read, at = (material.quantity(asked[name]) for name in ("resistance", "temperature"))
        yield material.say("insulation_read", value=read, temperature=at)
        listed = "; ".join(dict.fromkeys(material.quantity(one["resistance"]) for one in corrected))
        yield material.say("insulation_at_forty", list=listed)


def _fragments(material: Material) -> Iterator[Table | None]:
    say = material.say
    heads = ("material", "nominal", "recovered", "missing", "verdict")
    rows = [
        (
            raised(row["material"].replace("-", " ")),
            *(material.quantity(row[key], 3) for key in ("nominal", "recovered", "unaccounted")),
            row["verdict"],
        )
        for row in material.of("debris.materials") or ()
    ]
    yield table(say("fragments_caption"), tuple(say(f"head_{word}") for word in heads), rows)
    places = [
        (place["name"], f"{percent(place['share'])} %", place["look"])
        for place in (material.of("debris.places") or ())[:5]
    ]
    yield table(say("places_caption"), (say("head_place"), say("head_share"), say("head_look")), places)


def _cleanup(material: Material) -> Iterator[Table | None]:
    say = material.say
    items = [(item["text"], f"+{item['points']}") for item in material.of("cleanup.severity.items") or ()]
    yield table(say("score_caption"), (say("head_sign"), say("head_points")), items)
    visits = [(c["local"][:16].replace("T", " "), c["what"]) for c in material.of("cleanup.checks") or ()]
    yield table(say("visits_caption"), (say("head_when"), say("head_what")), visits)


def _filter(material: Material) -> str:
    log = material.of("filter_log")
    if log is None:
        return ""
    return material.say("filter_verdict", verdict=log["verdict"], reasons=" ".join(log["reasons"]))


def _tightness(material: Material) -> Iterator[str]:
    for path, key in (("pressure_test", "pressure_verdict"), ("evacuation.decay", "evacuation_verdict")):
        if (verdict := material.of(f"{path}.verdict")) is not None:
            yield material.say(key, verdict=verdict)


def _gate(material: Material) -> Table | None:
    say = material.say
    checks = [check for check in material.of("restart.checks") or () if check["state"] != "not required"]
    rows = [(check["title"], material.word(check["state"]), _why_not(check)) for check in checks]
    return table(say("gate_caption"), (say("head_check"), say("head_state"), say("head_why")), rows)


def _why_not(check: Mapping[str, Any]) -> str:
    """What stands against a check, or on what condition it passed; what its state says itself is not said twice."""
    if check["state"] == "passed":
        return "; ".join(dict.fromkeys(e["condition"] for e in check["evidence"] if e["condition"]))
    told = (e["detail"] for e in check["evidence"] if e["outcome"] != "passed")
    return "; ".join(dict.fromkeys(text for text in told if text and text not in words(StatedOutcome)))


def _timeline(material: Material) -> Table | None:
    say = material.say
    rows = [
        (entry.local[:16].replace("T", " "), say("timeline_planned", what=what) if entry.planned else what)
        for entry in material.moments
        if (what := line(entry.what, 200))
    ]
    rows += [(say("undated"), line(what, 400)) for what in material.undated]
    return table(say("timeline_caption"), (say("head_when"), say("head_what")), rows)
