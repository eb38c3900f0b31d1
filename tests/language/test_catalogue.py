"""Texts in other languages: nothing that can hurt is left out, changed in its numbers, or turned into its opposite."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from tests.language.untold import english_left

from witnessmark import data
from witnessmark.api.context import RequestContext
from witnessmark.api.routes.dispatch import _answered
from witnessmark.api.schemas.dispatch import Call
from witnessmark.casework.summary import NO_POWER
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.catalogue.triage import triage
from witnessmark.language import catalogue
from witnessmark.language.catalogue import (
    FIRST,
    IDS,
    Language,
    form_of,
    localized,
    mark,
    translated,
    translator,
    wanted,
)
from witnessmark.reference.library import CAUTIONS
from witnessmark.vocabulary import words

SPANISH = translator("es")
OTHERS = tuple(language for language in words(Language) if language != FIRST)
LOANS = {
    "es": {"contactor", "rotor", "sensor", "normal", "no"},
    "pt": {"compressor", "rotor", "sensor", "normal"},
}
"""Words that are the same in English."""
HOSTILE = ("x and ", "x; ", "x → ", "Note: ", "from a → b (", "? ", "is likely. ", "1,", "compressor and ")
NO = re.compile(r"\b(no|not|never|nobody|none|nothing|without|cannot|unless)\b", re.IGNORECASE)
DENIED = {
    "es": r"\b(no|nunca|nadie|nada|ning[uú]n[ao]?|sin|ni|salvo|ausencia|descartada|incondensables?|fuera)\b",
    "pt": r"\b(não|nunca|ninguém|nada|nenhuma?|sem|nem|a menos que|fora)\b",
}


MISREAD = {
    "es": (
        r"\ben vacío\b",
        r"deshidratador",
        r"succión",
        r"resistencia (de cárter|encendida|alimentada)",
        r"(?<!y )\bbloquee la alimentación",
        r"\bbloquee[,.;:]| bloqueado y descargado|motor bloqueado|alimentación bloqueada",
        r"cierre del eje",
        r"(cables( del motor)?|hilo) suelto",
        r"equipo de respiración(?! autónomo)",
    ),
    "pt": (
        r"(?<!filtros )(?<!filtro )\bsecador",
        r"aspiração",
        r"(?<!e )\bbloqueie a alimentação",
        r"\bbloqueie[,.;:]|bloqueado e descarregado|motor bloqueado|alimentação bloqueada",
        r"lig(ue|a|ado) de volta",
        r"comprovado à terra",
        r"(cabos( do motor)?|fio) solto",
        r"equipamento de respiração(?! autônoma)",
        r"\bna saída(?! d)",
    ),
}
"""What has a second meaning: idling for a vacuum, a winding for a heater, a seized motor for a locked-out supply, a
switch for a telephone, an earth fault for an insulation that is good, a loose lead for one
taken off, a filter mask for apparatus with air of its own, the door for the
way out, and second names of one thing."""


def safety() -> Iterator[str]:
    """Every text that keeps people from harm."""
    for rule in knowledge().safety:
        yield rule.text
        yield from (*rule.for_caller, *rule.for_caller_running)
    for file in CAUTIONS.values():
        yield from (caution.text for caution in file().values())


def catalogued() -> Iterator[str]:
    """Every other text of the knowledge that a report or a dispatch shows."""
    known = knowledge()
    for finding in known.findings.values():
        states = ("low", "normal", "high") if finding.kind == "three-way" else ("present", "absent")
        yield from (
            finding.text,
            finding.check.how if finding.check else "",
            finding.check.on_water if finding.check else "",
            *(finding.wording(state) for state in states),
        )
    for mode in known.modes.values():
        yield from (mode.name, mode.text, mode.actions, mode.prevention)
    for cause in known.causes.values():
        yield from (cause.name, cause.correct, cause.confirm)
    for advice in known.advice.values():
        for step in (*advice.do_now, *advice.for_caller):
            yield step if isinstance(step, str) else step.text
        yield from advice.keep_as_evidence
    yield from (question.words for question in triage().question)
    yield from (*triage().skill.values(), *triage().tool.values(), *(part.words for part in triage().part.values()))
    yield from (sign.reason for sign in triage().sign)
    for pair in known.conflicts:
        yield from (pair.why, pair.ask)


@pytest.mark.parametrize("language", OTHERS)
def test_every_safety_sentence_is_told(language: Language) -> None:
    assert [text for text in safety() if translator(language)(text) == text] == []


def numbers(text: str) -> list[str]:
    """The numbers of a text; what is written with a decimal comma counts as with a point."""
    return sorted(number.replace(",", ".") for number in re.findall(r"\d+(?:[.,]\d+)*", text))


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("texts", [safety, catalogued])
def test_no_number_is_changed(texts: Any, language: Language) -> None:
    said = {text: translator(language)(text) for text in texts()}
    assert {text: other for text, other in said.items() if numbers(text) != numbers(other)} == {}


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("texts", [safety, catalogued])
def test_no_text_is_told_by_half(texts: Any, language: Language) -> None:
    say = translator(language)
    assert {text: left for text in texts() if (left := english_left(text, say(text)))} == {}


@pytest.mark.parametrize("language", OTHERS)
def test_one_thing_has_one_word_and_no_word_two_meanings(language: Language) -> None:
    said = {other for file in catalogue.TEXTS[language].values() for other in file().values()}
    assert {other for other in said for word in MISREAD[language] if re.search(word, other, re.IGNORECASE)} == set()


@pytest.mark.parametrize("language", OTHERS)
def test_no_prohibition_is_lost(language: Language) -> None:
    said = {text: translator(language)(text) for text in safety() if NO.search(text)}
    assert {text: other for text, other in said.items() if not re.search(DENIED[language], other, re.IGNORECASE)} == {}


@pytest.mark.parametrize("language", OTHERS)
def test_every_text_of_the_knowledge_is_told(language: Language) -> None:
    left = {text for text in catalogued() if text and translator(language)(text) == text} - LOANS[language]
    assert left == set()


@pytest.mark.parametrize("language", OTHERS)
def test_no_translation_is_of_a_text_that_is_gone(language: Language) -> None:
    present = {*safety(), *catalogued()}
    for finding in knowledge().findings.values():
        present |= {finding.text, finding.opposite, finding.low_text, finding.high_text}
    kept = ("safety", "cautions", "modes", "causes", "findings", "checks")
    gone = {text for name in kept for text in catalogue.TEXTS[language][name]()} - present
    assert gone == set()


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("nth", range(6))
def test_dispatch_leaves_no_english(nth: int, language: Language) -> None:
    for key, finding in list(knowledge().findings.items())[nth::48]:
        state = "high" if finding.kind == "three-way" else "present"
        call = Call.model_validate({"findings": [{"finding": key, "state": state}]})
        ours, theirs = (_answered(RequestContext(), call, told).model_dump(mode="json") for told in (FIRST, language))
        assert set(alike(ours, theirs)) - LOANS[language] == set(), key


def alike(ours: Any, theirs: Any, key: str = "") -> Iterator[str]:
    """Words that are the same in both answers."""
    if isinstance(ours, dict):
        for name, value in ours.items():
            yield from alike(value, theirs[name], name)
    elif isinstance(ours, list):
        for mine, other in zip(ours, theirs, strict=True):
            yield from alike(mine, other, key)
    elif isinstance(ours, str) and key not in IDS and ours == theirs and re.search("[a-z]{3}", ours):
        yield ours


@pytest.mark.parametrize("language", OTHERS)
def test_a_name_is_told_wherever_it_stands_in_a_sentence(language: Language) -> None:
    say = translator(language)
    for name in ("pressure", "temperature", "suction pressure", "core drop rise"):
        assert say(name.capitalize()) == say(name)[:1].upper() + say(name)[1:] != name.capitalize()
    title = "Strainers and inlet screens are cleaned, changed or found clean"
    assert say(f"{NO_POWER['missing']}: {title}.").endswith(f"{say(title)}.")


def test_languages_hold_the_same_texts() -> None:
    """What one language knows and another does not was forgotten there."""
    known = {language: {text for file in catalogue.TEXTS[language].values() for text in file()} for language in OTHERS}
    assert {(a, text) for a in OTHERS for b in OTHERS for text in known[a] - known[b]} == set()


def test_what_is_not_known_stays_english_and_ids_stay_ids() -> None:
    assert SPANISH("Something nobody has translated.") == "Something nobody has translated."
    told = translated({"id": "contactor-bad", "words": ["compressor"], "n": 2, "state": "present"}, "es")
    assert told == {"id": "contactor-bad", "words": ["compresor"], "n": 2, "state": "present"}
    assert translated({"words": "compressor"}, "en") == {"words": "compressor"}


def test_sentences_are_put_together_from_what_is_known() -> None:
    assert (
        SPANISH("The findings point to liquid or oil slug.") == "Los hallazgos apuntan a golpe de líquido o de aceite."
    )
    assert SPANISH("Not enough evidence for a verdict. Most in view so far: oil starvation and failed oil pump.") == (
        "No hay pruebas suficientes para un veredicto. "
        "Lo más probable hasta ahora: falta de aceite y bomba de aceite averiada."
    )
    assert SPANISH("Likely chain: Oil starvation → Failed oil pump.") == (
        "Cadena probable: Falta de aceite → Bomba de aceite averiada."
    )
    assert SPANISH("x" * 5000) == "x" * 5000


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("unit", HOSTILE)
def test_no_text_of_a_caller_takes_long(unit: str, language: Language) -> None:
    for count in (10, 95, 2000):
        assert translator(language)(unit * count)


def test_numbers_are_written_as_the_language_does() -> None:
    assert localized("es", "1,234.5 ± 0.5 kPa on 2026-05-20") == "1.234,5 ± 0,5 kPa on 2026-05-20"
    assert localized("en", "1,234.5") == "1,234.5"
    assert localized("pt", "1,234.5 ± 0.5 kPa") == "1.234,5 ± 0,5 kPa"
    assert SPANISH("39.8 ± 1.1 °F") == "39,8 ± 1,1 °F"


def test_plurals_follow_the_language() -> None:
    assert [form_of("es", count) for count in (0, 1, 2)] == ["other", "one", "other"]
    assert [form_of("pt", count) for count in (0, 1, 2)] == ["one", "one", "other"]


def test_every_translation_says_that_no_native_technician_has_read_it() -> None:
    assert mark("en") == ""
    assert all(word in mark("es") for word in ("aún no ha leído", "técnico nativo"))
    assert all(word in mark("pt") for word in ("ainda não foi lida", "técnico nativo"))


def test_names_are_joined_as_the_language_does() -> None:
    assert translator("pt")("In the lead: Oil starvation and Failed oil pump.") == (
        "Na frente: Falta de óleo e Bomba de óleo com falha."
    )
    assert translator("pt")("The findings point to liquid or oil slug.") == (
        "Os achados apontam para golpe de líquido ou de óleo."
    )


@pytest.mark.parametrize(
    ("accept", "language"),
    [
        ("", "en"), ("es", "es"), ("es-MX, en;q=0.9", "es"), ("en, es;q=0.9", "en"), ("fr, es;q=0.1", "es"),
        ("*", "en"), ("pt-BR, en;q=0.9", "pt"), ("pt-PT", "pt"),
        ("es;q=0", "en"), ("es;q=x", "en"), ("de", "en"), (";;,,=", "en"), ("es" * 5000, "en"),
    ],
)  # fmt: skip
def test_the_language_of_a_request(accept: str, language: str) -> None:
    assert wanted(accept) == language
    assert wanted(accept, "es") == "es"


def test_a_pattern_with_other_fields_stops_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    catalogue.each_pattern_keeps_its_fields()
    broken: dict[str, Any] = {"es": {"x": lambda: {"a {b}": "a {c}", "empty": " "}}}
    monkeypatch.setattr(catalogue, "TEXTS", broken)
    with pytest.raises(data.DataError, match="empty, or not the same fields"):
        catalogue.each_pattern_keeps_its_fields()
