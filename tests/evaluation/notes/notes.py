"""Notes that were labelled before the reader saw them, and the scores of a reader on them.

Five writers who had seen the public wording of the findings and nothing of the reader wrote and labelled 1,035
constructed notes (not collected in the field, not labelled by practitioners). `open.jsonl` has been read while the
reader was made better: it is development, and shows no skill of its own. `sealed.jsonl.xz` is never read by anybody,
only scored: 45 % of the notes, half of the Spanish ones, and every short text on danger or denial. `second.jsonl` holds
what a second labeller made of 205 of them.
"""

from __future__ import annotations

import hashlib
import json
import lzma
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from tests.evaluation.vacuum.score import Share
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes.matching import alarms, read_note

HERE = Path(__file__).parent
Part = Literal["open", "sealed"]
Facts = frozenset[tuple[str, str]]
STATES = {"p": "present", "a": "absent", "l": "low", "n": "normal", "h3": "high"}
"""Labels that a reader must give; history, doubt, another machine and advice (h, d, o, t) are to be left out."""


@dataclass(frozen=True, slots=True)
class Note:
    """One text: set (notes, danger, denial, spanish), kind (phone, job, teardown, order), labels, danger to people."""

    id: str
    set: str
    kind: str
    text: str
    labels: Mapping[str, str]
    danger: bool
    writer: int

    @property
    def facts(self) -> Facts:
        """(finding, state) of everything told of this machine now."""
        return frozenset((key, STATES[label]) for key, label in self.labels.items() if label in STATES)


@cache
def notes(part: Part) -> tuple[Note, ...]:
    """The notes of a part. The sealed part is checked against its hash."""
    if part == "open":
        text = (HERE / "open.jsonl").read_text(encoding="utf-8")
    else:
        raw = lzma.decompress((HERE / "sealed.jsonl.xz").read_bytes())
        if hashlib.sha256(raw).hexdigest() != (HERE / "SEALED.sha256").read_text(encoding="ascii").strip():
            raise ValueError("the sealed notes are not those that were sealed")
        text = raw.decode()
    return tuple(Note(**json.loads(line)) for line in text.splitlines())


@dataclass(frozen=True, slots=True)
class Heard:
    """What a reader makes of a note: for each match the facts it stands for (several for a good condition)."""

    matches: tuple[Facts, ...]
    danger: bool

    @property
    def facts(self) -> Facts:
        """All of them."""
        return frozenset(fact for match in self.matches for fact in match)


Reader = Callable[[str], Heard]


def service(text: str) -> Heard:
    """The reader of the service. Danger is heard where a rule for danger fires or a call back is asked for."""
    reading = read_note(text)
    matches = tuple(facts for m in reading.matches if (facts := _facts(m.finding, m.state)))
    fired = alarms((*reading.matches, *reading.candidates))
    hazard = any(_hazard(key) for notice in fired for key in notice.because) or reading.call_back is not None
    return Heard(matches, hazard)


def _facts(finding: str, state: str) -> Facts:
    """What a match says of findings; nothing where the state is unknown or a good condition is denied."""
    normal = knowledge().normals.get(finding)
    if normal is None:
        return frozenset({(finding, state)} if state != "unknown" else ())
    if state != "present":
        return frozenset()
    kinds = {key: knowledge().findings[key].kind for key in normal.means_absent}
    return frozenset((key, "normal" if kind == "three-way" else "absent") for key, kind in kinds.items())


def _hazard(finding: str) -> bool:
    return finding in knowledge().findings and knowledge().findings[finding].group == "danger"


@dataclass(frozen=True, slots=True)
class Score:
    """Precision and recall over (finding, state), alarms turned into denials and the reverse, danger heard."""

    precision: Share
    recall: Share
    inverted: Share
    alarmed_by_denial: Share
    danger: Share
    false_danger: Share

    @classmethod
    def of(cls, chosen: Iterable[Note], reader: Reader = service) -> Score:
        """The score of a reader on these notes."""
        counts: Counter[str] = Counter()
        for note in chosen:
            heard = reader(note.text)
            counts.update(_counted(note, heard))
        return cls(
            Share(counts["right"], counts["given"]),
            Share(counts["heard"], counts["told"]),
            Share(counts["inverted"], counts["present"]),
            Share(counts["alarmed"], counts["absent"]),
            Share(counts["danger heard"], counts["danger"]),
            Share(counts["false danger"], counts["no danger"]),
        )


def _counted(note: Note, heard: Heard) -> Counter[str]:
    danger = "danger" if note.danger else "no danger"
    present = [key for key, label in note.labels.items() if label == "p"]
    absent = [key for key, label in note.labels.items() if label == "a"]
    return Counter(
        {
            "right": sum(bool(match & note.facts) for match in heard.matches),
            "given": len(heard.matches),
            "heard": len(heard.facts & note.facts),
            "told": len(note.facts),
            "present": len(present),
            "inverted": sum((key, "absent") in heard.facts for key in present),
            "absent": len(absent),
            "alarmed": sum((key, "present") in heard.facts for key in absent),
            danger: 1,
            "danger heard": int(note.danger and heard.danger),
            "false danger": int(heard.danger and not note.danger),
        }
    )
