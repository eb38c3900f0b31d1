"""Danger to people is heard first, above everything, and what only sounds alike is not."""

from __future__ import annotations

import pytest

from witnessmark.data import DataError
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes import danger
from witnessmark.diagnosis.notes.danger_rows import DANGER, danger_concepts, foreign_danger, signs, undefined
from witnessmark.diagnosis.notes.matching import alarms, read_note
from witnessmark.diagnosis.notes.telling import is_danger

HAZARDS = {f.id for f in knowledge().findings.values() if f.group == "danger"}


def fired(text: str) -> set[str]:
    """Hazards that fire a rule."""
    note = read_note(text)
    return HAZARDS & {key for notice in alarms((*note.matches, *note.candidates)) for key in notice.because}


@pytest.mark.parametrize(
    ("text", "hazard"),
    [
        ("smell of gas, children have headaches", "refrigerant-smell"),
        ("smell of gas, children have headaches", "people-unwell"),
        ("hissing noise, smell of gas", "refrigerant-smell"),
        ("smoke from the outdoor unit", "smoke-seen"),
        ("the compressor terminal blew out", "terminal-vented"),
        ("terminal blew out, oil all over", "terminal-vented"),
        ("terminal blown, refrigerant and oil all over", "terminal-vented"),
        ("sparks and flames", "sparks-seen"),
        ("sparks and flames", "fire-seen"),
        ("ammonia smell", "ammonia-released"),
        ("NH3 alarm in the plant room", "ammonia-released"),
        ("CO2 ALARM IN THE CELLAR WON'T STOP", "gas-alarm"),
        ("water dripping into the fuse box", "water-on-live-parts"),
        ("he got an electric shock from the case", "electric-shock"),
        ("apprentice burnt his hand", "person-hurt"),
        ("a man collapsed", "person-hurt"),
        ("hose burst with a bang and the gas came out", "burst-with-release"),
        ("not cooling burning smell at the panel", "burning-smell"),
        ("roof unit on fire", "fire-seen"),
        ("smoke out of the other unit", "smoke-seen"),
        ("I think I smell gas", "refrigerant-smell"),
        ("unit 1 smokes. unit 2 runs", "smoke-seen"),
        ("huele a gas en la cocina", "refrigerant-smell"),
        ("sale humo del compresor", "smoke-seen"),
        ("odore di gas, fumo", "refrigerant-smell"),
        ("tem cheiro de gás e muita fumaça na loja", "refrigerant-smell"),
    ],
)
def test_danger_fires_its_rule(text: str, hazard: str) -> None:
    assert hazard in fired(text)


@pytest.mark.parametrize(
    "text",
    [
        "the fire alarm is being tested",
        "smoke detector replaced",
        "gas stove out of order",
        "shock absorber for the van",
        "no smoke",
        "no fire, no flames",
        "nobody hurt",
        "last year there was a fire, rewired since",
        "if you smell gas leave the room",
        "in case of fire use the extinguisher",
        "fire drill at ten",
        "gas detector tested and calibrated",
        "gas alarm is not sounding",
        "detector shows 0 ppm",
        "the door slams with a bang",
        "smell of paint",
        "shock freezer needs a new gasket",
        "oil smells burnt",
        "toaster sparked",
        "gas bill went up",
    ],
)
def test_what_sounds_alike_fires_nothing(text: str) -> None:
    assert fired(text) == set()


def test_danger_stands_above_the_rest() -> None:
    note = read_note("contactor burnt, smoke from the panel")
    first = alarms(note.matches)[0]
    assert first.rule == "fire-or-smoke"
    assert {"energise", "start"} <= set(first.forbids)


def test_every_hazard_has_a_rule_that_forbids_power_and_a_start() -> None:
    for hazard in HAZARDS:
        rules = [rule for rule in knowledge().safety if hazard in rule.when.any_of]
        assert rules, hazard
        assert all({"energise", "start"} <= set(rule.forbids) for rule in rules), hazard


def test_every_hazard_has_wording() -> None:
    assert {row.finding for row in DANGER().danger} == HAZARDS
    known = danger_concepts().keys() | foreign_danger().keys()
    assert all(name in known for sign in signs() for names, _ in sign.slots for name in names)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("EMERGENCY at the cold store", "alarm words, but no danger understood"),
        ("alarm all night", "alarm words, but nothing understood"),
        ("Es riecht nach Gas und mir ist schwindlig", "danger words of a language that is not read"),
        ("Il y a une odeur de gaz et de la fumée", "danger words of a language that is not read"),
        ("c'è puzza e capogiro nella cella", "danger words of a language that is not read"),
    ],
)
def test_alarm_words_without_a_danger_ask_for_a_call_back(text: str, reason: str) -> None:
    call_back = read_note(text).call_back
    assert call_back is not None
    assert call_back.reason == reason
    assert all(text[w.start : w.end] == w.text for w in call_back.words)


@pytest.mark.parametrize(
    "text",
    ["contactor burnt", "no emergency", "smoke from the unit, help", "LP alarm, low pressure trips", "brand new motor"],
)
def test_no_call_back_without_need(text: str) -> None:
    assert read_note(text).call_back is None


@pytest.mark.parametrize(
    "text",
    [
        "compressor não arranca, cheiro a queimado",
        "compressor nao arranca, cheiro a queimado",
        "o motor está a deitar fumo",
        "a loja cheira a gás",
        "apanhei um choque",
        "o colega apanhou um choque no compressor",
        "a caixa do compressor dá choque",
        "há faíscas no quadro",
        "o quadro está a arder",
        "compressor rebentou, fuga de amoníaco",
        "compressor burnt, cheiro a queimado",
        "estou com tonturas na cave",
        "compressor no terrain, odeur de gaz",
        "compressor defekt, Rauch im Keller",
    ],
)
def test_danger_in_another_language_is_never_passed_over_as_english(text: str) -> None:
    """The worst wrong answer: a word or two of the trade make the note English, and nobody rings back."""
    note = read_note(text)
    assert note.call_back is not None or any(is_danger(m.finding) for m in note.matches)


@pytest.mark.parametrize("text", ["ammonia plant, new valve fitted", "amoniac compressor, fitted a new valve"])
def test_words_that_are_english_too_ask_for_nothing_in_english(text: str) -> None:
    assert read_note(text).call_back is None


def test_of_a_language_that_is_not_read_only_danger_counts() -> None:
    note = read_note("der Verdichter ist contactor burnt und es gibt smoke aus dem Gerät")
    assert not note.language.read
    assert {(m.finding, m.unknown_because) for m in note.matches} == {("smoke-seen", "unclear")}


def test_a_hazard_that_nobody_knows_is_refused_at_the_start(monkeypatch: pytest.MonkeyPatch) -> None:
    assert [*undefined(knowledge().findings)] == []
    assert [*undefined(())] != []
    danger.check_danger()
    monkeypatch.setattr(danger, "undefined", lambda _: iter(["danger.toml: unknown finding x"]))
    with pytest.raises(DataError, match="unknown finding x"):
        danger.check_danger()


@pytest.mark.parametrize(
    ("text", "there"),
    [
        ("gas detector went from 0 ppm to 450 ppm", True),
        ("CO2 monitor 0 ppm at the door and 12000 ppm at the rack", True),
        ("refrigerant detector: 0 ppm", False),
        ("the sniffer shows 0 ppm at both ends, 0 ppm in the middle", False),
    ],
)
def test_a_detector_at_nought_explains_no_gas_found_beside_it(text: str, there: bool) -> None:  # noqa: FBT001
    """Worst: gas is in the room, and the note is put off for the nought that it began with."""
    told = read_note(text)
    alarmed = [
        m.finding for m in told.matches if m.finding in ("gas-alarm", "refrigerant-smell") and m.state == "present"
    ]
    assert bool(alarmed) is there
