"""What the desk judges by: tests and samples as they were sent, in their own units, and the figures against limits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from witnessmark.casework.report.blocks import Table, table
from witnessmark.casework.report.free_text import line
from witnessmark.casework.report.material import Material, raised

Row = tuple[str, ...]
FREE = ("maker_document",)
"""Fields of tests that hold a caller's own words."""
PROVED = ("insulation", "windings", "supply", "line_voltage", "measured", "maker_limits")
"""What is measured of the compressor that is to be started, beside pressure and vacuum."""
MOST_READ = 40
"""Rows of one table of readings; what stands between the first and the last half is told by its number."""


def _value(material: Material, name: str, told: Any) -> str:
    if name in FREE:
        return line(told, 200)
    if isinstance(told, str):
        return material.word(told.replace("-", " "))
    if isinstance(told, list) and all(isinstance(part, str) for part in told):
        return "; ".join(_value(material, name, part) for part in told) or material.say("none_found")
    return material.quantity(told)


def _told(material: Material, told: Mapping[str, Any], before: str = "") -> Iterator[Row]:
    """(name, value) of everything that was sent, a part within a part with both names."""
    for name, value in told.items():
        named = f"{before}, {material.name(name)}" if before else material.part(name)
        if isinstance(value, Mapping) and "unit" not in value:
            yield from _told(material, value, "" if name == "conditions" else named)
        elif not isinstance(value, list) or not any(isinstance(p, Mapping) and "unit" not in p for p in value):
            yield named, _value(material, name, value)


def as_sent(material: Material, path: str, caption: str, parts: Sequence[str] = ()) -> Table | None:
    """What stands at a place of the document, as it was sent. caption: its key. parts: of it only these."""
    told = material.told(path) or {}
    kept = {part: told[part] for part in parts if part in told} if parts else told
    head = (material.say("head_reading"), material.say("head_value"))
    return table(material.say(caption), head, [*_told(material, kept)])


def _held(material: Material, name: str, value: str, judged: Mapping[str, Any]) -> Row:
    """A figure, the limit it was held against, and where it stands."""
    limit, standing = judged["limit"], judged.get("standing", "")
    asked = limit["value"]
    share = not isinstance(asked, Mapping)
    bound = _share(material, {"value": asked}) if share else material.quantity(asked)
    return raised(material.word(name)), value, f"{material.word(limit['side'])} {bound}", material.word(standing)


def _share(material: Material, ratio: Mapping[str, Any]) -> str:
    width = ratio.get("uncertainty")
    percent = {"value": 100 * ratio["value"], "uncertainty": None if width is None else 100 * width, "unit": "%"}
    return material.quantity(percent)


def _limits(material: Material, rows: Sequence[Row]) -> Table | None:
    heads = ("head_number", "head_value", "head_limit", "head_standing")
    return table(material.say("limits_caption"), tuple(map(material.say, heads)), rows)


def electrical(material: Material) -> Iterator[Table | None]:
    """The tests of the failed compressor and what they were held against."""
    yield as_sent(material, "tests_of_failure", "sent_tests_of_failure")
    yield _limits(material, [*_insulation(material), *_windings(material), *_supply(material)])


def _insulation(material: Material) -> Iterator[Row]:
    for minimum in material.of("insulation.minima") or ():
        as_taken = minimum["held_against"] in (AS_TAKEN, material.word(AS_TAKEN))
        corrected = [material.quantity(one["resistance"]) for one in material.of("insulation.corrected") or ()]
        read = [material.quantity(material.insulation["resistance"])] if as_taken else corrected
        name = f"{material.name('insulation')}, {material.word(minimum['held_against'])}"
        yield _held(material, name, "; ".join(dict.fromkeys(read)), minimum)


AS_TAKEN = "reading as taken"


def _windings(material: Material) -> Iterator[Row]:
    found = material.of("windings") or {}
    if found.get("balance") and found.get("limit"):
        unbalance = _share(material, found["balance"]["unbalance"])
        yield _held(
            material, "unbalance of the windings", unbalance, {"limit": found["limit"], "standing": found["verdict"]}
        )


def _supply(material: Material) -> Iterator[Row]:
    found = material.of("supply") or {}
    if found.get("voltage_unbalance") and found.get("limit"):
        judged = {"limit": found["limit"], "standing": found["voltage_standing"]}
        yield _held(material, "unbalance of the voltages", _share(material, found["voltage_unbalance"]), judged)


def oil(material: Material) -> Iterator[Table | None]:
    """Every sample of oil and of refrigerant, and the last one of oil against its limits."""
    told = ("acid_number", "water", "colour", "contamination")
    heads = (material.say("head_when"), material.say("head_sample"), *(material.part(name) for name in told))
    rows = [
        (_when(material, sample), _value(material, "", sample["sample"]), *_cells(material, sample, told))
        for sample in material.told("oil_samples") or ()
    ]
    yield table(material.say("samples_caption"), heads, rows)
    items = [_item(material, item) for item in material.of("oil.items") or ()]
    over = ("head_number", "head_value", "head_watch", "head_act", "head_standing")
    yield table(material.say("last_oil_caption"), tuple(map(material.say, over)), items)
    for sample in material.told("refrigerant_samples") or ():
        kept = {name: value for name, value in sample.items() if name != "at"}
        caption = material.say("refrigerant_caption", when=_when(material, sample))
        yield table(caption, (material.say("head_reading"), material.say("head_value")), [*_told(material, kept)])


def _when(material: Material, entry: Mapping[str, Any]) -> str:
    return str(entry.get("at") or material.say("undated"))[:16].replace("T", " ")


def _cells(material: Material, told: Mapping[str, Any], names: Sequence[str]) -> Iterator[str]:
    """What was read, by name; a dash where nothing was."""
    return ("–" if told.get(name) is None else _value(material, name, told[name]) for name in names)


def _item(material: Material, item: Mapping[str, Any]) -> Row:
    unit = "" if item["unit"].startswith("ASTM") else item["unit"]
    bounds = (
        "–" if item.get(level) is None else material.quantity({"value": item[level]["limit"], "unit": unit})
        for level in ("watch", "act")
    )
    read = material.quantity({"value": item["reading"], "unit": unit})
    return material.part(item["quantity"]), read, *bounds, material.word(item["standing"])


def pressure(material: Material) -> Iterator[Table | None]:
    """Each pressure test by its stages; of the last one what was expected, lost, and could have been seen."""
    tests = material.told("before_start.pressure_tests") or []
    told = ("start_pressure", "start_temperature", "end_pressure", "end_temperature", "duration")
    found = ("expected_gauge_pressure", "loss", "smallest_visible_loss")
    named = ("head_expected_gauge_pressure", "head_loss", "head_smallest_visible_loss")
    for test in tests:
        judged: Sequence[Any] = material.of("pressure_test.stages") or () if test is tests[-1] else ()
        heads = (*map(material.part, told), *(material.say(key) for key in named if judged))
        rows = [
            (*_cells(material, stage, told), *(_cells(material, judged[k], found) if judged else ()))
            for k, stage in enumerate(test["stages"])
        ]
        side, gas = (_value(material, "", test.get(key, usual)) for key, usual in (("side", "whole"), ("gas", GAS)))
        yield table(material.say("pressure_caption", side=side, gas=gas), heads, rows)
    if tests and (hold := material.of("pressure_test.hold")):
        last = material.quantity(tests[-1]["stages"][-1]["duration"])
        yield _limits(material, [_held(material, "duration of the last stage", last, {"limit": hold})])


GAS = "dry-nitrogen"
"""What a circuit was filled with where the test does not say."""


def vacuum(material: Material) -> Iterator[Table | None]:
    """What the gauge read with the pump shut off, and the figures of the rise against their limits."""
    yield as_sent(material, "before_start.evacuation", "sent_before_start_evacuation")
    read = material.told("before_start.evacuation.readings") or ()
    rows = [(material.quantity(one["time"]), material.quantity(one["pressure"])) for one in _thinned(read)]
    head = (material.say("head_after"), material.say("head_pressure"))
    yield table(material.say("vacuum_caption", shown=len(rows), total=len(read)), head, rows)
    decay = material.of("evacuation.decay") or {}
    held = [
        _held(material, words, material.quantity(decay[name][number]), decay[name])
        for name, number, words in RISE
        if decay.get(name)
    ]
    plateau = decay.get("plateau")
    level = [(raised(material.word("plateau of the rise")), material.quantity(plateau), "–", "–")] if plateau else []
    yield _limits(material, [*held, *level])


RISE = (
    ("reached", "pressure", "vacuum reached"),
    ("after_hold", "pressure", "pressure after standing"),
    ("climb", "per_hour", "climb in an hour"),
    ("hold", "duration", "time that it stood"),
)
"""Figures of an evacuation that have limits: name, the number in it, and in words."""


def _thinned(readings: Sequence[Any]) -> list[Any]:
    """Readings spread over all there are, the first and the last among them."""
    if len(readings) <= MOST_READ:
        return list(readings)
    step = (len(readings) - 1) / (MOST_READ - 1)
    return [readings[round(k * step)] for k in range(MOST_READ)]


def core(material: Material) -> Iterator[Table | None]:
    """The log of the suction core as it was read, and each drop brought to full flow."""
    told = material.told("filter_log.readings") or ()
    judged = {row["reading"]: row for row in material.of("filter_log.readings") or ()}
    numbers = [
        name for name in ("inlet_pressure", "outlet_pressure", "drop", "flow_share", "acid_number", "acid_test",
                          "colour", "new_core") if any(entry.get(name) is not None for entry in told)
    ]  # fmt: skip
    heads = (material.say("head_when"), *map(material.part, numbers), material.say("head_full_flow"))
    rows = [
        (_when(material, entry), *_cells(material, entry, numbers), _full_flow(material, judged.get(place, {})))
        for place, entry in enumerate(told)
    ]
    yield table(material.say("core_caption"), heads, _thinned(rows))


def _full_flow(material: Material, judged: Mapping[str, Any]) -> str:
    drop, low, high = (judged.get(name) for name in ("full_flow_drop", "low", "high"))
    if drop is None:
        return "–"
    if low is None or high is None:
        return material.quantity(drop, 3)
    first, last = (material.quantity({"value": end["value"]}, 3) for end in (low, high))
    return f"{material.quantity(drop, 3)} ({first} – {last})"
