"""What is wrong with a row on its own is refused with the key and the fault; which machines a row is about."""

from __future__ import annotations

import json

import pytest
from pydantic import ValidationError

from witnessmark.data import Row
from witnessmark.diagnosis.case import MACHINE_WORDS, Machine
from witnessmark.diagnosis.catalogue.row_base import Applies
from witnessmark.diagnosis.catalogue.rows import Knowledge
from witnessmark.vocabulary import Compressor, Construction, Drive, Phases, ShellSide, words

OPEN_DRIVE = Machine("screw", construction="open-drive")


def read_anew(row: Row, **changes: object) -> Row:
    """The row as its file would hold it, with other values."""
    table = json.loads(row.model_dump_json()) | changes
    return type(row).model_validate_json(json.dumps(table), strict=True)


def refused(row: Row, **changes: object) -> str:
    with pytest.raises(ValidationError) as error:
        read_anew(row, **changes)
    return "; ".join(f"{'.'.join(map(str, e['loc']))}: {e['msg']}" for e in error.value.errors())


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"kind": "perhaps"}, "kind: Input should be 'yes-no' or 'three-way'"),
        ({"background": 0.0}, "oil-acid: background is not between 0 and 1"),
        ({"background": 1.0}, "oil-acid: background is not between 0 and 1"),
        ({"background": "often"}, "background: Input should be a valid number"),
        ({"reliability": 0.5}, "reliability: Input should be greater than 0.5"),
        ({"reliability": 1.0}, "reliability: Input should be less than 1"),
        ({"stage": "moon"}, "stage: Input should be 'history'"),
        ({"mention": {"letter": {"present": 0.5, "absent": 0.5}}}, "mention.letter.[key]: Input should be 'note'"),
        ({"mention": {"note": {"present": 1.0, "absent": 0.5}}}, "mention.note.present: Input should be less than 1"),
        ({"mention": {"note": {"present": 0.5}}}, "mention.note.absent: Field required"),
        ({"mention": {"note": 0.5}}, "mention.note: Input should be an object"),
        ({"rationale": ""}, "rationale: String should have at least 1 character"),
        ({"reviewed": ""}, "reviewed: String should have at least 1 character"),
        ({"source": "hearsay"}, "source: Value error, no such source: hearsay"),
        ({"applies": {"compressor": ["steam"]}}, "applies.compressor.0: Input should be 'scroll'"),
        ({"applies": {"compressor": ["centrifugal"]}}, "compressor: knowledge does not tell apart centrifugal"),
        ({"applies": {"drive": ["soft-starter"]}}, "drive: knowledge does not tell apart soft-starter"),
        ({"applies": {"colour": ["red"]}}, "applies.colour: Extra inputs are not permitted"),
    ],
)
def test_findings(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    assert fault in refused(small.findings["oil-acid"], **changes)


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"minutes": 0.0}, "check.minutes: Input should be greater than 0"),
        ({"cost": -0.1}, "check.cost: Input should be greater than or equal to 0"),
        ({"cost": 5.1}, "check.cost: Input should be less than or equal to 5"),
        ({"needs": ["daylight"]}, "check.needs.0: Input should be 'power-off'"),
        ({"hazards": ["tigers"]}, "check.hazards.0: Value error, no such caution: tigers"),
        ({"hours": 1}, "check.hours: Extra inputs are not permitted"),
    ],
)
def test_checks(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    check = small.findings["oil-acid"].check
    assert check is not None
    assert fault in refused(small.findings["oil-acid"], check=check.model_dump(mode="json") | changes)


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"background_low": 0.6, "background_high": 0.4}, "background is not between"),
        ({"background_high": 0.0}, "background is not between"),
        ({"low_text": ""}, "needs low_text and high_text"),
        ({"high_text": ""}, "needs low_text and high_text"),
    ],
)
def test_three_way_findings(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    assert fault in refused(small.findings["superheat"], **changes)


def test_modes_causes_links_and_contexts(small: Knowledge) -> None:
    assert "prior: Input should be greater than 0" in refused(small.modes["floodback"], prior=0.0)
    assert "prior: Input should be less than 1" in refused(small.causes["poor-work"], prior=1.0)
    assert "role: Input should be 'initiating'" in refused(small.modes["floodback"], role="sometimes")
    assert "odds_ratio: Input should be greater than 0" in refused(small.contexts[0], odds_ratio=0.0)


def test_a_rule_must_fire_on_something_and_names_cautions(small: Knowledge) -> None:
    assert "when: Value error, fires on nothing" in refused(small.safety[0], when={})
    assert "cautions.0: Value error, no such caution: tigers" in refused(small.safety[0], cautions=["tigers"])


def test_states_and_backgrounds_follow_the_kind(small: Knowledge) -> None:
    oil, superheat = small.findings["oil-acid"], small.findings["superheat"]
    assert (oil.states, oil.signs, oil.healthy) == (("present", "absent"), ("present",), "absent")
    assert (superheat.states, superheat.signs) == (("low", "normal", "high"), ("low", "high"))
    assert superheat.healthy == "normal"
    assert oil.backgrounds == {"present": 0.05}
    assert superheat.backgrounds == {"low": 0.08, "high": 0.1}


@pytest.mark.parametrize(
    ("machine", "holds"),
    [
        (Machine("scroll", "low-side", "inverter"), True),
        (Machine("scroll", None, None), True),
        (Machine("screw", "low-side", "inverter"), False),
        (Machine("scroll", "high-side", "inverter"), False),
    ],
)
def test_applicability(machine: Machine, holds: bool) -> None:  # noqa: FBT001 - a parameter of the table
    row = Applies.model_validate({"compressor": frozenset({"scroll", "rotary"}), "shell": frozenset({"low-side"})})
    assert row.to(machine) is holds


def test_construction_and_phases_can_be_told_apart() -> None:
    row = Applies(construction=frozenset({"open-drive"}), phases=frozenset({"three-phase"}))
    assert row.to(OPEN_DRIVE)
    assert row.to(Machine())
    assert not row.to(Machine(construction="hermetic"))
    assert not row.to(Machine(construction="open-drive", phases="single-phase"))


def test_rows_meet_where_some_machine_is_meant_by_both() -> None:
    low, high = (
        Applies.model_validate({"shell": frozenset({"low-side"})}),
        Applies.model_validate({"shell": frozenset({"high-side"})}),
    )
    scroll = Applies(compressor=frozenset({"scroll"}))
    assert not low.meets(high)
    assert low.meets(scroll)
    assert scroll.meets(low)
    assert low.meets(Applies())


def test_the_words_are_those_of_the_vocabulary_less_what_is_not_judged() -> None:
    assert MACHINE_WORDS["compressor"] == ("scroll", "reciprocating", "rotary", "screw")
    assert set(words(Compressor)) - set(MACHINE_WORDS["compressor"]) == {"centrifugal"}
    assert MACHINE_WORDS["drive"] == ("fixed-speed", "inverter")
    assert set(words(Drive)) - set(MACHINE_WORDS["drive"]) == {"soft-starter"}
    for part, alias in (("shell", ShellSide), ("construction", Construction), ("phases", Phases)):
        assert MACHINE_WORDS[part] == words(alias)
    assert MACHINE_WORDS.keys() == Applies.model_fields.keys()


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        ({"measured": {"low": 0.01}}, "superheat: measured needs each abnormal state"),
        ({"measured": {"low": 0.01, "high": 0.2}}, "superheat: measured needs each abnormal state, none above"),
        ({"against_baseline": {"present": 0.01}}, "superheat: against_baseline needs each abnormal state"),
        ({"measured": {"low": 0.0, "high": 0.01}}, "measured.low: Input should be greater than 0"),
    ],
)
def test_numbers_have_no_more_background_than_words(small: Knowledge, changes: dict[str, object], fault: str) -> None:
    assert fault in refused(small.findings["superheat"], **changes)
    finer = {"low": 0.08, "high": 0.01}
    assert read_anew(small.findings["superheat"], measured=finer, against_baseline=finer)
