"""The matcher as a whole, measured on sentences of our own that are kept apart from its wording.

Measured when this was written (precision / recall of finding and state together, micro average):
  development 0.98 / 0.99   used to improve the wording, so it says nothing
  held-out    0.92 / 0.96   290 sentences, written before the wording existed, never used to improve it
  late        0.93 / 0.90   55 longer notes, written when the wording was nearly done, never used to improve it
The held-out and late labels know little of findings added since (will-not-start): those count as too many here; two
late notes that name one in so many words (a burnt smell, a refrigerant smell) have got its label. One author wrote
sentences and wording, so these figures flatter: agreement with one reader, not accuracy in the field, and not how notes
by others are read (docs/NOTES.md: far worse).
The gates below lie a few points under them.
"""

from __future__ import annotations

import csv
import importlib
import os
import random
import tomllib
import warnings
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from witnessmark.diagnosis.case import Machine
from witnessmark.diagnosis.catalogue.knowledge import knowledge
from witnessmark.diagnosis.notes import matching
from witnessmark.diagnosis.notes.matches import FAINTEST, THRESHOLD, Match
from witnessmark.diagnosis.notes.matching import LONGEST, alarms, match, read_note
from witnessmark.errors import InputError

Said = frozenset[tuple[str, str]]
PARTS = ("development", "held-out", "late")


@cache
def notes() -> tuple[dict[str, Any], ...]:
    file = Path(__file__).parents[1] / "data" / "labelled_notes.toml"
    return tuple(tomllib.loads(file.read_text("utf-8"))["note"])


def part(name: str) -> list[tuple[str, Said]]:
    return [(note["text"], frozenset(note["findings"].items())) for note in notes() if note["part"] == name]


@cache
def sentences_of(text: str) -> Said:
    return frozenset((m.finding, m.state) for m in match(text))


def implied(wanted: Said) -> set[str]:
    """Findings whose absence a labelled normal already says: naming them too is right."""
    normals = knowledge().normals
    return {finding for key, _ in wanted if key in normals for finding in normals[key].means_absent}


def counts(name: str) -> tuple[int, int, int]:
    """Right, too many, missed; over (finding, state) pairs."""
    right = extra = missed = 0
    for text, wanted in part(name):
        also = implied(wanted)
        result = {(f, state) for f, state in sentences_of(text) if not (f in also and state in {"absent", "normal"})}
        right, extra, missed = right + len(result & wanted), extra + len(result - wanted), missed + len(wanted - result)
    return right, extra, missed


@pytest.mark.parametrize(
    ("name", "precision", "recall"), [("development", 0.97, 0.97), ("held-out", 0.91, 0.92), ("late", 0.90, 0.84)]
)
def test_precision_and_recall(name: str, precision: float, recall: float) -> None:
    right, extra, missed = counts(name)
    assert right / (right + extra) >= precision
    assert right / (right + missed) >= recall


def test_the_wrong_way_round_is_rare() -> None:
    """Present for absent, low for high: the error that would mislead most. Measured: 2 of 381."""
    wrong = total = 0
    for text, wanted in (*part("held-out"), *part("late")):
        labels = dict(wanted)
        for finding, state in sentences_of(text):
            total += finding in labels
            wrong += {state, labels.get(finding, state)} in ({"present", "absent"}, {"low", "high"})
    assert wrong <= 0.01 * total


def test_labels_are_sound() -> None:
    known = knowledge()
    kinds: dict[str, str] = {f.id: f.kind for f in known.findings.values()} | dict.fromkeys(known.normals, "normal")
    allowed = {
        "yes-no": {"present", "absent", "unknown"},
        "three-way": {"low", "normal", "high", "unknown"},
        "normal": {"present"},
    }
    for note in notes():
        assert note["part"] in PARTS
        assert all(state in allowed[kinds[finding]] for finding, state in note["findings"].items()), note["text"]
    texts = [note["text"] for note in notes()]
    assert len(texts) == len(set(texts)) >= 240
    assert len(part("held-out")) >= 240
    assert sum(not wanted for _, wanted in part("held-out")) >= 20


def test_the_labelled_sentences_name_every_finding() -> None:
    named = {finding for note in notes() for finding in note["findings"]}
    assert set(knowledge().findings) <= named


def test_nothing_is_read_from_notes_about_something_else() -> None:
    """Measured: 20 of 21 irrelevant sentences of the held-out half and 10 of 10 late ones give nothing."""
    irrelevant = [text for name in ("held-out", "late") for text, wanted in part(name) if not wanted]
    assert sum(not sentences_of(text) for text in irrelevant) >= 0.93 * len(irrelevant)


MODULES = """
argparse asyncio calendar collections configparser contextlib csv datetime decimal difflib doctest email fractions
gettext heapq http imaplib inspect json logging mailbox optparse pdb pickle pickletools platform pprint random sched
secrets selectors shelve shutil signal smtplib socketserver statistics string tarfile tempfile textwrap threading timeit
trace traceback types unittest uuid venv warnings weakref zipfile zoneinfo
"""


def prose() -> Iterator[str]:
    """Technical prose by others on another subject: what the standard library says of itself."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for name in MODULES.split():
            module = importlib.import_module(name)
            texts = [
                module.__doc__,
                *(getattr(getattr(module, a, None), "__doc__", "") for a in getattr(module, "__all__", ())),
            ]
            yield "\n\n".join(text for text in texts if isinstance(text, str))[:LONGEST]


def test_next_to_nothing_is_read_from_unrelated_prose() -> None:
    """Measured: 4 matches in 45 000 words (CPython 3.11). The texts change with the version, hence the wide gate."""
    texts = list(prose())
    words = sum(len(text.split()) for text in texts)
    assert words > 20_000
    assert sum(len(match(text)) for text in texts) <= words / 1_500


def data_file() -> Path:
    folder = os.environ.get("WITNESSMARK_DATA") or str(Path(__file__).parents[4] / "shared" / "data")
    return Path(folder) / "maintnorm_aircon_slice.tsv"


def test_real_shorthand_reads_like_its_normalised_form() -> None:
    """490 real job lines beside the same lines normalised by people (MaintNorm, MIT; not part of this repository).

    An outside check of abbreviations and spelling: what is read must not depend on the shorthand. Measured: 478 lines
    alike, something read in 63 of them, mostly that it does not cool.
    """
    if not data_file().exists():
        pytest.skip("the MaintNorm slice is not here; name its folder in WITNESSMARK_DATA")
    with data_file().open(encoding="utf-8") as file:
        rows = list(csv.reader(file, delimiter="\t", quoting=csv.QUOTE_NONE))[1:]
    alike = [sentences_of(raw) == sentences_of(normal.replace("<id>", "")) for raw, normal in rows]
    assert sum(alike) >= 0.95 * len(rows)
    cold = [raw for raw, normal in rows if "not cold" in normal.lower() or "blowing warm" in normal.lower()]
    assert cold
    assert all(("capacity-low", "present") in sentences_of(raw) for raw in cold)
    assert sum(bool(sentences_of(raw)) for raw, _ in rows) < 0.15 * len(rows)


def only(text: str) -> Match:
    (result,) = match(text)
    return result


def test_the_words_that_matched_are_shown_where_they_stand() -> None:
    text = "Found oil jet black, no knocking"
    burnt, knock = match(text)
    assert [(w.text, w.start, w.end) for w in burnt.words] == [("oil jet black", 6, 19)]
    assert [(w.text, w.start, w.end) for w in knock.words] == [("knocking", 24, 32)]
    assert [(w.text, w.start, w.end) for w in knock.negation] == [("no", 21, 23)]
    assert (burnt.negation, burnt.doubt) == ((), ())
    assert all(text[w.start : w.end] == w.text for m in (burnt, knock) for w in (*m.words, *m.negation))


def test_the_example_of_the_issue() -> None:
    assert sentences_of("shell ice cold, knocking, breaker held") == {
        ("sump-cold-running", "present"),
        ("knock-while-running", "present"),
        ("breaker-trips-at-once", "absent"),
    }


@pytest.mark.parametrize(
    "text", ["contactor burnt", "contacter burnt", "contactr burntt", "CONTACTOR BURNT!!", "cóntactor burnt"]
)
def test_spelling_and_case_do_not_matter(text: str) -> None:
    assert sentences_of(text) == {("contactor-bad", "present")}


@pytest.mark.parametrize("text", ["suction high head low", "high suction low head", "suction high, head low"])
def test_a_state_between_two_pressures_goes_to_its_own(text: str) -> None:
    assert sentences_of(text) == {("suction-pressure", "high"), ("condensing-pressure", "low")}


def test_a_misspelling_counts_for_less() -> None:
    assert only("contacter burnt").score < only("contactor burnt").score


def test_what_is_heard_but_not_believed_is_a_candidate() -> None:
    note = read_note("Contactor, as far as anybody could tell me today over the phone, burnt. Sunny weather today.")
    assert note.matches == ()
    assert [m.finding for m in note.candidates] == ["contactor-bad"]
    assert all(FAINTEST <= m.score < THRESHOLD for m in note.candidates)
    assert [w.text for w in note.unmatched] == [
        "Contactor, as far as anybody could tell me today over the phone, burnt",
        "Sunny weather today",
    ]


def test_sentences_without_words_are_not_listed() -> None:
    assert read_note("??? ... 12, 13. !").unmatched == ()


def test_a_candidate_of_a_settled_finding_is_left_out() -> None:
    note = read_note("Contactor burnt. Contactor, as far as anybody could tell me today over the phone, burnt.")
    assert [m.finding for m in note.matches] == ["contactor-bad"]
    assert note.candidates == ()


def test_contradictions_are_shown_not_hidden() -> None:
    note = read_note("Compressor knocking badly. No knocking at all. Contactor burnt.")
    assert note.contradictory == ("knock-while-running",)
    assert {m.state for m in note.matches if m.finding == "knock-while-running"} == {"present", "absent"}


def test_the_best_of_several_mentions_is_kept() -> None:
    assert only("seems to be knocking. Compressor knocking").score == 1.0
    assert only("Compressor knocking. Seems to be knocking").score == 1.0


def test_a_normal_is_named_as_such() -> None:
    result = only("oil clear and straw coloured")
    assert (result.finding, result.state) == ("oil-clear", "present")


@pytest.mark.parametrize("text", ["breaker trips right away", "shorted to ground", "possibly grounded"])
def test_a_credible_ground_fault_fires_the_safety_rule(text: str) -> None:
    (notice,) = [first for first in alarms(match(text)) if first.rule == "do-not-re-energise"]
    assert "energise" in notice.forbids
    assert set(notice.because) <= {"breaker-trips-at-once", "insulation-low"}


@pytest.mark.parametrize("text", ["breaker held", "not grounded", "insulation test not done", "coil dirty"])
def test_no_alarm_without_a_sign(text: str) -> None:
    assert alarms(match(text)) == ()


@pytest.mark.parametrize(
    ("text", "why"),
    [("contactor not checked", "not checked"), ("maybe contactor burnt", "doubtful"), ("contactor burnt", None)],
)
def test_an_unknown_state_says_why(text: str, why: str | None) -> None:
    assert only(text).unknown_because == why


def test_what_the_machine_cannot_have_is_set_aside() -> None:
    note = read_note("scroll wraps shattered, oil clear", Machine(compressor="screw"))
    assert [m.finding for m in note.matches] == ["oil-clear"]
    assert [(m.finding, m.set_aside) for m in note.candidates] == [("wraps-shattered", "only where compressor: scroll")]
    with pytest.raises(InputError) as error:
        read_note("oil clear", Machine(compressor="centrifugal"))
    assert error.value.field == "machine.compressor"


def test_nothing_comes_of_an_empty_note() -> None:
    assert read_note("").matches == read_note(" \n\t").matches == ()


def test_the_longest_note_is_read_and_a_longer_one_refused() -> None:
    assert match("." * (LONGEST - 16) + "contactor burnt")
    with pytest.raises(InputError, match="at most 20,000 characters") as error:
        match("x" * (LONGEST + 1))
    assert error.value.field == "text"


HOSTILE = (
    *(
        "oil ",
        "not ",
        "SH 2 K ",
        "no, ",
        "if ",
        "no knock or ",
        "amps 1/2/3 ",
        "1/",
        "9",
        "a",
        "\ud800",
        "\udfff!",
        "ﷺ",
        "🧊 ",
    ),
    *(
        "( ",
        "'",
        "’",
        "a'",
        "a-",
        "-",
        "\x00",
        "\u202e",
        "İ",
        "ß",
        "½",
        "e\u0301",
        "neither nor ",
        "? ",
        "oil but ",
        "٣ ",
    ),
)


@pytest.mark.parametrize("piece", HOSTILE)
def test_hostile_text_of_full_length_is_harmless(piece: str) -> None:
    text = (piece * LONGEST)[:LONGEST]
    for result in match(text):
        assert 0 < result.score <= 1


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_harmless(text: str) -> None:
    note = read_note(text)
    for result in (*note.matches, *note.candidates):
        assert all(text[w.start : w.end] == w.text for w in (*result.words, *result.negation, *result.doubt))


@settings(max_examples=30, deadline=None)
@given(st.lists(st.sampled_from([text for text, _ in part("development")]), min_size=1, max_size=4))
def test_the_same_note_reads_the_same(texts: list[str]) -> None:
    note = ". ".join(texts)
    assert read_note(note) == read_note(note)


def test_sentences_do_not_disturb_one_another() -> None:
    """Two notes joined by a full stop give what each gives alone; joined by a comma nearly always (measured 97.6 %)."""
    chance = random.Random(20261125)  # noqa: S311 - a sample, no secret
    texts = [text for text, _ in part("development") if "?" not in text]
    drawn = [chance.sample(texts, 2) for _ in range(300)]
    pairs = [(a, b) for a, b in drawn if not {f for f, _ in sentences_of(a)} & {f for f, _ in sentences_of(b)}]
    assert sum(sentences_of(f"{a}.\n{b}") == sentences_of(a) | sentences_of(b) for a, b in pairs) >= 0.995 * len(pairs)
    assert sum(sentences_of(f"{a}, {b}") == sentences_of(a) | sentences_of(b) for a, b in pairs) >= 0.95 * len(pairs)


@pytest.mark.parametrize(("above", "shown"), [(0.0, True), (1e-3, False)])
def test_a_match_of_the_faintest_score_itself_is_shown(
    above: float,
    shown: bool,  # noqa: FBT001
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    (doubted,) = match("maybe the oil was acidic")
    assert doubted.state == "unknown"
    monkeypatch.setattr(matching, "FAINTEST", doubted.score + above)
    assert bool(match("maybe the oil was acidic")) == shown


@pytest.mark.parametrize(
    "text",
    [
        "they bypassed the oil switch",
        "someone jumped out the low pressure control",
        "LP cut-out strapped out",
        "somebody took the high limit out and tied the wires together",
        "jumper across the high pressure control",
        "door switch and high pressure both wired straight",
        "quitaron el térmico y lo puentearon",
        "cortaron el presostato y lo dejaron directo",
    ],
)
def test_a_protection_is_bridged_by_any_name_and_in_any_way(text: str) -> None:
    assert ("protection-bridged", "present") in {(m.finding, m.state) for m in match(text)}


@pytest.mark.parametrize(
    "text",
    ["replaced the low pressure control, works now", "wires tied together with a zip tie", "phase relay replaced"],
)
def test_no_protection_is_bridged_by_its_name(text: str) -> None:
    assert "protection-bridged" not in {m.finding for m in match(text)}


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("head 380 at 95 outside", {"discharge_pressure": 2721332.8}),
        ("head pressure 250 at 90 ambient R22", {"discharge_pressure": 1825014.3}),
        ("discharge 25 bar, 30 outside", {"discharge_pressure": 2601325.0}),
        ("R410A suct 118 liq 380 SLT 52F LLT 95F", {"suction_temperature": 284.26, "liquid_temperature": 308.15}),
        ("low side 60 in R22 at rest 70F ambient", {"suction_pressure": 515010.4, "outdoor_temperature": 294.26}),
        ("insulation 2 M, 500V megger", {"insulation_resistance": 2e6}),
    ],
)
def test_a_number_goes_to_the_word_that_touches_it(text: str, readings: dict[str, float]) -> None:
    """Worst: the warmth of the air is read as the head pressure, or the liquid line as the suction line."""
    found = read_note(text).readings
    assert {key: found[key][0] for key in readings} == pytest.approx(readings, rel=1e-4)
    assert "supply_voltage" not in found


def test_an_order_to_rule_out_is_no_denial() -> None:
    assert only("rule out ground fault").state == "unknown"
    assert only("ground fault ruled out").state == "absent"


@pytest.mark.parametrize("text", ["Power is locked out. Crane needed.", "fan motor burnt out, compressor fine"])
def test_what_is_of_the_supply_or_a_fan_condemns_no_compressor(text: str) -> None:
    assert not {"shaft-seized", "winding-burnt-pattern-unknown"} & {m.finding for m in match(text)}


@pytest.mark.parametrize("text", ["head 380 at 95 outside", "suction 10 psi, all normal otherwise"])
def test_a_number_belies_what_was_learned_from_like_words(text: str) -> None:
    """Worst: a head of 380 psi is called low, and low heads are left to run."""
    found = {(m.finding, m.state) for m in match(text)}
    assert not {("condensing-pressure", "low"), ("suction-pressure", "high")} & found
