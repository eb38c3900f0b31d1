"""The gate and its log beside typed limits: what once opened it, by the published example with one field changed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient
from tests.api.test_restart import MAY, example, post

DOCUMENT = "Service guide 7, edition 3, page 12"
FAR, ALONE, BETWEEN = "far beyond everything published", "looser than everything published", "not by the strictest"
Json = dict[str, Any]


def q(value: float, unit: str) -> Json:
    return {"value": value, "unit": unit}


def put(path: str, value: Any) -> Json:
    """The example in which everything is proved, with one part of it changed."""
    body: Any = example("everything proved")
    at, (*steps, last) = body, path.split(".")
    for step in steps:
        at = at[int(step)] if step.isdecimal() else at.setdefault(step, {})
    at[int(last) if last.isdecimal() else last] = value
    return dict(body)


def ran(**values: Any) -> Json:
    readings = [{"at": q(minutes, "min"), **values} for minutes in (5, 15, 60)]
    return put("after_run", {"elapsed": q(60, "min"), "readings": readings})


STOPS: tuple[Json, ...] = (
    {"discharge_pressure": q(36, "barg")},  # the switch opened at 35.5
    {"discharge_pressure": q(37.5, "barg")},
    {"discharge_pressure": q(45, "barg"), "suction_pressure": q(14, "barg")},
    {"suction_pressure": q(30, "barg")},
    {"suction_pressure": q(14, "barg"), "discharge_pressure": q(14.2, "barg")},
    {"suction_pressure": q(0.6, "barg"), "discharge_pressure": q(33, "barg")},
    {"suction_pressure": q(14, "barg"), "discharge_pressure": q(14.2, "barg"), "compression_ratio": {"value": 3}},
    {"core_drop": q(3, "bar")},
)
LOOKS: tuple[Json, ...] = (
    {"core_drop": q(0.6, "bar")},
    {"core_drop": q(1, "bar")},
    {"core_drop": q(9, "psi"), "suction_pressure": q(9, "barg")},
    {"suction_pressure": q(9, "barg"), "discharge_pressure": q(26, "barg"), "compression_ratio": {"value": 5}},
)
GOOD: tuple[Json, ...] = (
    {"suction_pressure": q(9, "barg"), "discharge_pressure": q(26, "barg")},
    {"discharge_pressure": q(34, "barg")},
    {"core_drop": q(5, "psi")},
    {"suction_pressure": q(9, "barg"), "discharge_pressure": q(26, "barg"), "compression_ratio": {"value": 2.7}},
)


def test_every_reading_of_the_log_is_judged_by_all_that_is_known(client: TestClient) -> None:
    """Worst wrong answer: go on watching at 45 bar on a machine of 37.3, or where nothing is pumped."""
    for wanted, cases in (("stop and find out", STOPS), ("look into it now", LOOKS)):
        for case in cases:
            result = post(client, ran(**case))["result"]
            assert (result["after_run"]["verdict"], result["verdict"]) == (wanted, "do not start"), case
            assert result["blocking"] == ["after-run"]
    for case in GOOD:
        result = post(client, ran(**case))["result"]
        assert (result["verdict"], result["after_run"]["outside"]) == (MAY, []), case


def oil(sample: int, name: str, reading: Json, limit: Json) -> Iterator[Json]:
    for document in ("", DOCUMENT):
        part = example("everything proved")["tests"]["oil_samples"][sample]
        yield put(
            f"tests.oil_samples.{sample}", part | {name: reading, "maker_limits": {name: limit, "document": document}}
        )


def measured(name: str, reading: Any, limit: Any, at: str = "") -> Iterator[Json]:
    for document in ("", DOCUMENT):
        body = put(f"measured.{at or name}", reading)
        body["maker_limits"] = {name: limit, "document": document}
        yield body


def of_test(part: str, **fields: Any) -> Iterator[Json]:
    for document in ("", DOCUMENT):
        whole = example("everything proved")["tests"][part]
        yield put(f"tests.{part}", whole | fields | {"maker_document": document})


def terminals(*ohms: float) -> list[Json]:
    return [{"value": ohm, "unit": "ohm", "uncertainty": 0.001} for ohm in ohms]


def flat(micron: float) -> list[Json]:
    return [{"time": q(5.0 * k, "min"), "pressure": q(micron, "micron")} for k in range(13)]


CHARGED = {"weighed": q(14.76, "kg"), "wanted": q(12, "kg"), "taken_as": "liquid"}


@pytest.mark.parametrize(
    ("check", "bodies"),
    [
        ("circuit-acid", tuple(oil(1, "acid_number", q(2, "mgKOH/g"), q(5, "mgKOH/g")))),
        ("circuit-acid", tuple(oil(1, "acid_number", q(1, "mgKOH/g"), q(5, "mgKOH/g")))),
        ("oil-charge", tuple(oil(0, "water", q(900, "mg/kg"), q(2000, "mg/kg")))),
        ("sump-warm", tuple(measured("heater_on", q(2, "min"), q(1, "min")))),
        ("start-timer", tuple(measured("off_time", q(2, "s"), q(1, "s")))),
        ("charge", tuple(measured("charge_deviation", CHARGED, 0.25, "charge"))),
        ("windings", tuple(of_test("windings", terminals=terminals(0.58, 0.69, 0.58), maker_balance=0.2))),
        ("vacuum", tuple(of_test("evacuation", readings=flat(1800), maker_after_hold=q(2000, "micron")))),
    ],
)
def test_a_typed_limit_far_from_every_source_opens_nothing(
    client: TestClient, check: str, bodies: tuple[Json, ...]
) -> None:
    """With and without a document: a slip of the pen is likelier than such a maker."""
    for body in bodies:
        result = post(client, body)["result"]
        assert (result["verdict"], result["blocking"]) == ("do not start", [check])
        assert any(FAR in text for text in result["conditions"])


@pytest.mark.parametrize(
    ("check", "bodies"),
    [
        ("circuit-acid", tuple(oil(1, "acid_number", q(0.25, "mgKOH/g"), q(0.3, "mgKOH/g")))),
        (
            "charge",
            tuple(
                measured(
                    "charge_deviation", CHARGED | {"weighed": q(12.9, "kg") | {"uncertainty": 0.02}}, 0.08, "charge"
                )
            ),
        ),
        ("start-timer", tuple(measured("off_time", q(130, "s"), q(120, "s")))),
        ("windings", tuple(of_test("windings", terminals=terminals(0.58, 0.63, 0.58), maker_balance=0.08))),
    ],
)
def test_a_limit_looser_than_everything_opens_by_its_document_and_says_so(
    client: TestClient, check: str, bodies: tuple[Json, ...]
) -> None:
    unnamed, named = (post(client, body)["result"] for body in bodies)
    assert (unnamed["verdict"], unnamed["blocking"]) == ("do not start", [check])
    assert any("without its document" in text for text in unnamed["conditions"])
    assert (named["verdict"], named["blocking"]) == (MAY, [])
    assert any(ALONE in text and DOCUMENT in text for text in named["conditions"])


def test_between_published_figures_the_maker_counts_and_the_strictest_is_named(client: TestClient) -> None:
    """0.15 megohm of an inverter compressor: one guide allows 0.1, others ask for 1; nobody for 0.05."""
    low = {"value": 0.15, "unit": "megohm", "uncertainty": 0.005}
    for body in of_test("insulation", resistance=low, maker_minimum=q(0.1, "megohm")):
        result = post(client, body)["result"]
        assert result["verdict"] == MAY
        assert any(BETWEEN in text for text in result["conditions"])
    strict = put("maker_limits", {"off_time": q(300, "s")})
    assert post(client, strict)["result"]["blocking"] == ["start-timer"]
    spanish = client.post("/v1/restart", json=body, headers={"accept-language": "es"}).json()["result"]
    assert any("por el límite del fabricante" in text for text in spanish["conditions"])


def test_watched_limits_that_do_not_count_are_conditions_too(client: TestClient) -> None:
    body = put("watch_limits", {"discharge_temperature": {"high": q(180, "degC")}, "document": DOCUMENT})
    assert any(FAR in text for text in post(client, body)["result"]["conditions"])
