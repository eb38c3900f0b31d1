"""The whole report of a case."""

from __future__ import annotations

from witnessmark.casework.report.blocks import Report
from witnessmark.casework.report.desk import desk
from witnessmark.casework.report.free_text import line
from witnessmark.casework.report.material import Material
from witnessmark.casework.report.owner import owner
from witnessmark.language.catalogue import mark


def report(material: Material) -> Report:
    """Owner's page first, then the part for the warranty desk; what stands empty is left out."""
    say = material.say
    told = (
        ("reference", material.told("reference")),
        ("site", material.told("site.name")),
        ("machine", material.told("machine.name")),
        ("refrigerant", material.told("refrigerant")),
        ("as_of", _moment(material.told("as_of")) or say("no_as_of")),
    )
    sections = tuple(section for section in (*owner(material), *desk(material)) if section is not None)
    versions = material.versions
    footer = (
        say(
            "footer_versions",
            service=versions["service"],
            library=versions["property_library"],
            knowledge=versions["knowledge"],
        ),
        *filter(None, (mark(material.language),)),
        say("footer_digest", digest=material.digest),
    )
    facts = tuple((say(key), line(value)) for key, value in told if value)
    subject = line(next((value for _, value in told[:3] if value), ""))
    return Report(say(_title(material)), material.language, facts, sections, footer, subject, say("signs_missing"))


def _moment(text: str | None) -> str:
    """A moment with its offset as people read it.

    >>> _moment("2026-05-20T09:00:30+01:00"), _moment("2026-05-20T09:00Z"), _moment(None)
    ('2026-05-20 09:00 (UTC+01:00)', '2026-05-20 09:00 (UTC)', '')
    """
    if text is None:
        return ""
    offset = text[16:].lstrip(":0123456789").removesuffix("Z")
    return f"{text[:16].replace('T', ' ')} (UTC{offset})"


def _title(material: Material) -> str:
    """The key of the title: nobody is told of a failure that is not established."""
    if material.sound:
        return "title_sound"
    return "title" if material.failed else "title_kept" if material.kept else "title_open"
