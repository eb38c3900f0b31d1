"""Forms inside a note: questions with their answers, and boxes ticked or not, written so that they read as statements.

`smoke? no fire? no noise? yes` is three statements; a box that nobody ticked says nothing. Every character keeps its
place, so that what is found can be shown in the note as it was sent. Linear in the text.
"""

from __future__ import annotations

import re

_BOX = re.compile(r"\[(?P<mark>[ xXvV✓✔]?)\](?P<item>[^\[\]\n.;]{0,60})")
_ASKED_BOTH = re.compile(r"\b[yY]\s?/\s?[nN]\b\s?[:?=-]?\s*(?P<answer>yes|no|[yYnN])\b", re.IGNORECASE)
_ANSWER = re.compile(
    r"(?P<mark>[?:=]|\s[-–])(?P<gap>\s*)(?P<answer>yes|none|nope|no|negative|neg|nil|sí|si)\b"
    r"(?P<after>(?=\s*[.,;)]|\s*$|\s*\n)|\s+(?=[^.,;:?\n]{1,40}[?:=]))",
    re.IGNORECASE,
)
_LETTER = re.compile(
    r"(?P<item>\b(?!(?:side|wing|end|wall|corner|door|of|and)\b)[A-Za-z]{3,}(?: [A-Za-z']+){0,2}?)"
    r"(?<!\bto)(?<!\bat)(?<!\bon)(?<!\bphase)(?<!\bleg)(?<!\bside)\s*[:=-]?\s*\b(?P<answer>[YN])\b[\s,;./|]*"
)
_LETTERS = re.compile(rf"(?:{_LETTER.pattern.replace('?P<item>', '').replace('?P<answer>', '')}){{2,}}")
"""Items of a form one behind the other, each with its answer, one capital letter (`to N` is a neutral)."""
_TICKED = "xXvV✓✔"


def answered(text: str) -> str:
    """The text with its forms read, as long as before.

    >>> answered("smoke? no fire? no noise? yes")
    'smoke: no.fire: no.noise: yes'
    >>> answered("[x] smoke [ ] fire")
    '    smoke          '
    """
    if "[" in text:
        text = _BOX.sub(_box, text)
    text = _ASKED_BOTH.sub(_both, text)
    text = _LETTERS.sub(lambda run: _LETTER.sub(_lettered, run.group()), text)
    return _ANSWER.sub(_answer, text)


def _box(found: re.Match[str]) -> str:
    if found["mark"] and found["mark"] in _TICKED:
        return "   " + found["item"]
    return " " * len(found.group())


def _lettered(found: re.Match[str]) -> str:
    """`smoke Y fire N`: what is answered with N is left out, since a word of denial has no room there."""
    whole = found.group()
    kept = found["item"] if found["answer"] == "Y" else " " * len(found["item"])
    return (kept + ".").ljust(len(whole))


def _both(found: re.Match[str]) -> str:
    """`Burn smell Y/N: N` tells what `burn smell: no` does."""
    said = ": no" if found["answer"].lower().startswith("n") else ": yes"
    return said.ljust(len(found.group()))[: len(found.group())]


def _answer(found: re.Match[str]) -> str:
    after = found["after"]
    mark = ":" if len(found["mark"]) == 1 else " :"
    return f"{mark}{found['gap']}{found['answer']}{'.' + after[1:] if after else ''}"
