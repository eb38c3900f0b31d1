"""What an English text is in another language, and how numbers are written there.

A text is looked up whole, then as one of the patterns of sentences.toml (its {fields} are translated in turn), then
sentence by sentence. What is not known stays in English: a text that was changed is shown as it is now, never in the
translation of what it was.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any, Literal

from babel import Locale, negotiate_locale
from typing_extensions import TypeAliasType

from witnessmark import data
from witnessmark.vocabulary import words

Language = TypeAliasType("Language", Literal["en", "es", "pt"])
"""Languages of reports and of dispatch (BCP 47)."""
FIRST: Language = "en"
Translate = Callable[[str], str]
TEXTS = {
    "es": data.tables(__package__, "es", dict[str, str]),
    "pt": data.tables(__package__, "pt", dict[str, str]),
}
UNREAD = "Translation that no native technician has read yet; what is not translated stays in English."
"""What every text in another language says of itself, until one has."""
SENTENCES = "sentences"
"""The file of patterns."""
IDS = frozenset(
    {
        "id",
        "finding",
        "hypothesis",
        "mode",
        "cause",
        "rule",
        "check",
        "part",
        "key",
        "unit",
        "field",
        "kind",
        "layer",
        "reference",
        "because",
        "safety",
        "for_hypotheses",
        "taken",
        "advice",
        "state",
        "when",
        "digest",
        "operation",
        "local",
        "at",
        "derived_from",
    }
)
"""Fields of answers that hold ids, never words."""
_NUMBER = re.compile(r"(?<![\w.])[-+−±]?\d[\d,]*(?:\.\d+)?(?![\w,]*-)")
_SIZE = re.compile(r"[-+−±]?[\d.,]+(?: ± [\d.,]+)? [A-Za-z]+")
"""A number with a unit that is spelt out: `0.0087 megohm`."""
_FIELD = re.compile(r"\{(\w+)\}")
_END = re.compile(r"(?<=[.?!]) (?=\S)")
_AND = {"es": "y", "pt": "e"}
_JOINTS = (
    (", and ", ", and ", ", {and_} "),
    ("; and ", "; ", "; {and_} "),
    (" and ", ", ", " {and_} "),
    (" and ", " and ", " {and_} "),
    ("; ", "; ", "; "),
    (": ", ": ", ": "),
    (" → ", " → ", " → "),
)
"""How names are joined: before the last of them, between the others, and before the last in translation."""
_COMMAS = ((", ", ", ", ", "),)
"""Reasons joined by commas, which stand in most sentences too: tried after the sentences."""
_LONGEST, _MOST_NAMES = 600, 12
"""Characters of a sentence with fields, and names joined in one: what is longer is some caller's text, not ours."""


@dataclass(frozen=True, slots=True)
class _Pattern:
    """A sentence with fields."""

    english: re.Pattern[str]
    other: str
    ending: str = ""
    """What follows its only field, where the pattern begins with that; else empty."""

    @classmethod
    def of(cls, english: str, other: str) -> _Pattern:
        """A field ends with its sentence, save one that ends the pattern."""
        parts = _FIELD.split(english)
        fields = [r".+" if not after else r"(?:(?![.?!] ).)+?" for after in parts[2::2]]
        fixed = [re.escape(parts[0])]
        for name, inner, after in zip(parts[1::2], fields, parts[2::2], strict=True):
            fixed.append(f"(?P<{name}>{inner}){re.escape(after)}")
        ending = parts[2] if len(parts) == 3 and not parts[0] else ""  # noqa: PLR2004 - before, field, behind
        return cls(re.compile("".join(fixed), re.DOTALL), other, ending)


def translator(language: Language) -> Translate:
    """The function that says an English text in `language`."""
    return _same if language == FIRST else lambda text: _said(language, text)


def mark(language: Language) -> str:
    """What a text in `language` says of its translation; nothing where it is the first one.

    >>> mark("en")
    ''
    """
    return translator(language)(UNREAD) if language != FIRST else ""


def _same(text: str) -> str:
    return text


@lru_cache(maxsize=4096)
def _said(language: str, text: str) -> str:
    found = _whole(language, text)
    if found is not None:
        return found
    sentences = _END.split(text)
    if len(sentences) == 1:
        return localized(language, text) if _is_number(text) else text
    return " ".join(_said(language, sentence) for sentence in sentences)


def _whole(language: str, text: str) -> str | None:
    """A text of the catalogue as it stands, names joined into a sentence, or a sentence with fields."""
    known = _as_it_stands(language, text)
    if known is None and len(text) <= _LONGEST:
        known = (
            _of_known(language, text)
            or _listed(language, text, _JOINTS)
            or _with_fields(language, text)
            or _listed(language, text, _COMMAS)
            or _at_the_beginning(language, text)
        )
    return known


def _at_the_beginning(language: str, text: str) -> str | None:
    """A name that begins a sentence; never one of a list, which would be taken for the beginning of one."""
    other = _texts(language).get(text[:1].lower() + text[1:])
    return None if other is None else other[:1].upper() + other[1:]


def _single(language: str, text: str) -> str | None:
    """A name, not a list of them: what a caller wrote would otherwise be split without end."""
    known = _as_it_stands(language, text)
    return _with_fields(language, text) if known is None else known


def _as_it_stands(language: str, text: str) -> str | None:
    """The text itself, without its full stop, or as it begins in the middle of a sentence."""
    texts, raised = _texts(language), text[:1].upper() + text[1:]
    if text in texts:
        return texts[text]
    if text.endswith(".") and text[:-1] in texts:
        return f"{texts[text[:-1]]}."
    return texts[raised][:1].lower() + texts[raised][1:] if raised in texts else None


def _with_fields(language: str, text: str) -> str | None:
    for pattern in _patterns(language):
        if (match := pattern.english.fullmatch(text)) is not None:
            return pattern.other.format(**{key: _said(language, value) for key, value in match.groupdict().items()})
    return None


def _of_known(language: str, text: str) -> str | None:
    """A known text with an ending (`a; b: unknown`), which is no list of names."""
    for pattern in _patterns(language):
        if pattern.ending and text.endswith(pattern.ending):
            known = _as_it_stands(language, text.removesuffix(pattern.ending))
            if known is not None:
                return _FIELD.split(pattern.other, maxsplit=1)[0] + known + _FIELD.split(pattern.other, maxsplit=1)[2]
    return None


def _listed(language: str, text: str, joints: tuple[tuple[str, str, str], ...]) -> str | None:
    """Names joined into a sentence, each of them known: `a; b`, `a → b`, `a, b and c`, `a; b; and c`."""
    if _END.search(text):  # sentences, not names
        return None
    for last, between, translated_last in joints:
        conjunction = translated_last.format(and_=_AND[language])
        pieces = text.split(last)
        for k in range(min(len(pieces), _MOST_NAMES) - 1, 0, -1):  # a name may hold the joint itself
            names = [*last.join(pieces[:k]).split(between), last.join(pieces[k:])]
            known = [said for name in names if (said := _single(language, name)) is not None]
            if len(known) == len(names):
                return (conjunction if between == last else between).join(known[:-1]) + conjunction + known[-1]
    return None


@cache
def _texts(language: str) -> Mapping[str, str]:
    """Whole texts, and their single sentences where both languages have as many."""
    whole: dict[str, str] = {}
    for name, file in TEXTS[language].items():
        whole |= {} if name == SENTENCES else file()
    single: dict[str, str] = {}
    for english, other in whole.items():
        for split in (_END.split, _first):
            ours, theirs = split(english), split(other)
            single |= dict(zip(ours, theirs, strict=True)) if len(ours) == len(theirs) else {}
    return {**_beginnings(TEXTS[language][FINDINGS]()), **single, **whole}


FINDINGS = "findings"
"""The file of findings, of which other sentences say no more than the beginning."""
_DETAIL = re.compile(r"[;:,(]")


def _beginnings(findings: Mapping[str, str]) -> dict[str, str]:
    """What a finding begins with, up to its details, by the same beginning in English; never a single word."""
    pairs = ((_DETAIL.split(text)[0].strip() for text in pair) for pair in findings.items())
    return {ours: theirs for ours, theirs in pairs if " " in ours}


def _first(text: str) -> list[str]:
    """The first words of a finding, as sentences name it."""
    return text.split("; ")[:1]


@cache
def _patterns(language: str) -> tuple[_Pattern, ...]:
    """The longest first, so that the most telling one wins."""
    rows = TEXTS[language][SENTENCES]()
    return tuple(_Pattern.of(*row) for row in sorted(rows.items(), key=lambda row: -len(_FIELD.sub("", row[0]))))


def translated(content: Any, language: Language) -> Any:
    """JSON-like content with every text in `language`; ids, and what a caller named, stay."""
    return content if language == FIRST else _walked(content, translator(language))


def _walked(content: Any, say: Translate) -> Any:
    if isinstance(content, str):
        return say(content)
    if isinstance(content, Mapping):
        return {key: value if _is_id(key, value) else _walked(value, say) for key, value in content.items()}
    if isinstance(content, (list, tuple)):
        return [_walked(part, say) for part in content]
    return content


def _is_id(key: str, value: Any) -> bool:
    return key in IDS and not isinstance(value, Mapping)


def localized(language: str, text: str) -> str:
    """Numbers of a text with the signs of the language.

    >>> localized("es", "1,234.5 ± 0.5 kPa"), localized("en", "1.5")
    ('1.234,5 ± 0,5 kPa', '1.5')
    """
    if language == FIRST:
        return text
    symbols = Locale.parse(language).number_symbols["latn"]
    signs = str.maketrans({",": symbols["group"], ".": symbols["decimal"]})
    return _NUMBER.sub(lambda found: found.group().translate(signs), text)


def _is_number(text: str) -> bool:
    plain = not re.search(r"[A-Za-z]{4,}", text) or _SIZE.fullmatch(text) is not None
    return _NUMBER.search(text) is not None and plain


def form_of(language: Language, count: int) -> str:
    """Which plural form a count takes (CLDR): "one", "other", ..."""
    return str(Locale.parse(language).plural_form(count))


def wanted(accept: str, asked: Language | None = None) -> Language:
    """The language asked for, else the first of `Accept-Language` that there is, else English (RFC 9110, 12.5.4).

    >>> wanted("de, es-MX;q=0.8, en;q=0.5"), wanted(""), wanted("es", "en")
    ('es', 'en', 'en')
    """
    if asked is not None:
        return asked
    ranked = sorted(_preferred(accept), key=lambda pair: -pair[1])
    names = [name.replace("-", "_") for name, weight in ranked if weight > 0]
    found = negotiate_locale(names, [str(language) for language in words(Language)])
    return next((language for language in words(Language) if language == found), FIRST)


def _preferred(accept: str) -> Iterator[tuple[str, float]]:
    for part in accept.split(",")[:20]:
        name, _, weight = part.strip().partition(";q=")
        if re.fullmatch(r"[A-Za-z]{1,8}(-[A-Za-z0-9]{1,8})*", name):
            yield name, float(weight or 1) if re.fullmatch(r"[01](\.\d{0,3})?", weight or "1") else 0.0


@data.checked
def each_pattern_keeps_its_fields() -> None:
    """DataError where a translated pattern has other fields than the English one, or a text is empty."""
    faults = []
    for language, files in TEXTS.items():
        for name, file in files.items():
            for english, other in file().items():
                if not other.strip() or set(_FIELD.findall(english)) != set(_FIELD.findall(other)):
                    faults.append(f"{language}/{name}.toml: {english!r}: empty, or not the same fields")
    if faults:
        raise data.DataError(faults)
