"""The owner's page: what happened, why, what is being done, what prevents the next one, what is not known."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from witnessmark.casework.orders import SURE
from witnessmark.casework.report.blocks import Bullets, Cautions, Paragraph, Section, bullets, paragraph, section
from witnessmark.casework.report.free_text import line
from witnessmark.casework.report.material import Material, raised
from witnessmark.casework.summary import VISIBLE
from witnessmark.diagnosis.catalogue.knowledge import knowledge

LIKELY = 0.5
"""Modes and causes from here on are told to the owner; what is less likely is not."""
MOST_TOLD, MOST_DONE, MOST_OPEN = 2, 5, 4


def owner(material: Material) -> Iterator[Section | None]:
    """The sections of the owner's page."""
    say = material.say
    yield section(say("owner"), level=2)
    yield section(say("cautions"), bullets(list(material.danger)), _cautions(material))
    yield section(say("what_happened"), *map(paragraph, _happened(material)))
    yield section(say("sound_why" if material.sound else "why"), *_reasons(material))
    yield section(say("being_done"), bullets(list(_doing(material))))
    yield section(say("prevents"), bullets(list(dict.fromkeys(_preventing(material)))))
    yield section(
        say("not_known"),
        bullets([*list(_open(material))[:MOST_OPEN], *_ahead(material)]) or Paragraph(say("unknown_nothing")),
    )
    yield Section("", (Paragraph(say("advice")),))


def _reasons(material: Material) -> Iterator[Bullets | Paragraph | None]:
    """Causes that are likely; where nothing failed or nothing is settled, that plainly, and what follows from it."""
    say = material.say
    if material.sound:
        yield Paragraph(say("nothing_wrong"), strong=True)
        return
    if not material.failed:
        yield Paragraph(say("kept" if material.kept else "not_told_yet"), strong=True)
    yield bullets(list(_why(material))) or Paragraph(say("no_cause" if material.failed else "no_cause_yet"))


def _cautions(material: Material) -> Cautions | None:
    texts = material.cautions
    return Cautions(texts[:VISIBLE]) if texts else None


def likely(material: Material, kind: str) -> list[dict[str, object]]:
    """The modes or causes to tell of, the first first."""
    ranked = material.of(f"diagnosis.{kind}") or ()
    measure = "at_work" if kind == "causes" else "probability"
    first = [row for row in ranked if row[measure] >= LIKELY][:MOST_TOLD]
    sure = [row for row in ranked if kind == "causes" and row["probability"] >= SURE and row not in first]
    return [*first, *sure]


def percent(share: object) -> str:
    """A probability as whole percent, never quite 0 or 100."""
    return str(min(99, max(1, round(100 * float(str(share))))))


def _happened(material: Material) -> Iterator[str]:
    say = material.say
    if material.told("complaint"):
        yield say("complaint", text=line(material.told("complaint"), 400))
    if material.found and not material.failed:
        names = ", ".join(material.word(knowledge().causes[str(cause["id"])].name) for cause in material.found)
        yield say("found", names=names)
    yield material.of("diagnosis.verdict.text") or say("not_found")
    for mode in () if material.sound else likely(material, "modes"):
        row = knowledge().modes[str(mode["id"])]
        share = mode["probability"]
        told = say("mode", name=material.word(row.name), words=material.likelihood(share), percent=percent(share))
        yield f"{told} {material.word(row.text)}" if _of_the_compressor(material) else told
    if verdict := material.verdict("compression.verdict"):
        yield say("pumping", verdict=verdict)
    yield material.of("debris.statement") or ""


def _of_the_compressor(material: Material) -> bool:
    """Whether what a mode does to a compressor is told: not where a cause is found and the compressor is kept."""
    return material.failed or not (material.kept or material.found)


def _share(cause: Mapping[str, object]) -> object:
    """At work, or present where that is what it is told for."""
    sure = float(str(cause["probability"])) >= SURE
    return cause["probability" if sure else "at_work"]


def _why(material: Material) -> Iterator[str]:
    for cause in likely(material, "causes"):
        name = material.word(knowledge().causes[str(cause["id"])].name)
        share = _share(cause)
        yield material.say("cause", name=name, words=material.likelihood(share), percent=percent(share))


def _doing(material: Material) -> Iterator[str]:
    say = material.say
    if material.saving:
        yield material.saving
    for entry in (material.told("work_done") or ())[-MOST_DONE:]:
        when = line(entry.get("at", say("undated")))[:16].replace("T", " ")
        yield say("done", what=line(entry["text"], 300), local=when)
    if (severity := material.of("cleanup.severity")) is not None:
        yield say("grade", grade=severity["grade"], name=severity["name"], text=severity["text"])
    if (gate := material.of("restart")) is not None:
        left = " " + say("gate_left", count=len(gate["blocking"])) if gate["blocking"] else ""
        yield say("gate", verdict=material.verdict("restart.verdict")) + left
    for cause in [] if material.repaired else material.found:
        row = knowledge().causes[str(cause["id"])]
        yield say("put_right", name=material.word(row.name), text=material.word(row.correct))
    if material.step is not None:
        yield say("step", text=material.step.text)


def _preventing(material: Material) -> Iterator[str]:
    for cause in likely(material, "causes"):
        row = knowledge().causes[str(cause["id"])]
        yield material.say("cause_action", name=material.word(row.name), text=material.word(row.correct))
    if material.sound or (material.found and not material.failed):
        return
    for mode in likely(material, "modes"):
        yield material.word(knowledge().modes[str(mode["id"])].prevention)


def _ahead(material: Material) -> Iterator[str]:
    """The first questions that nobody answered, and what was not begun; of what is sound or settled nothing."""
    yield from _unproved(material)
    if material.sound or material.settled:
        return
    for text in material.questions:
        yield material.say("not_told", text=material.word(text))
    if material.not_begun and not material.kept:
        yield material.say("not_begun", parts=", ".join(map(material.wanting, material.not_begun)))


def _unproved(material: Material) -> Iterator[str]:
    """What a machine that runs already owes its start."""
    if not material.unproved:
        return
    gate = material.of("restart") or {"checks": (), "blocking": ()}
    titles = [check["title"] for check in gate["checks"] if check["check"] in gate["blocking"]]
    for title in titles[:MOST_OPEN]:
        yield material.say("not_proved", text=title)


def _open(material: Material) -> Iterator[str]:
    yield from material.contradictions
    if not material.repaired:
        yield from (material.of("diagnosis.verdict.ask_first") or ())
    for check in material.checks():
        yield material.say("not_checked_check", text=_question(check["text"]))
    for part, why in material.aside.items():
        if part not in material.senseless:
            yield material.say("not_checked_part", part=raised(material.wanting(part)), why=raised(why))


def _question(text: str) -> str:
    """What is asked by a check, without how it is looked at: that stands on the page of the warranty desk."""
    asked, mark, _ = text.partition("? ")
    return f"{asked}{mark}".rstrip()
