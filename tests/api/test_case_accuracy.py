"""One uncertainty for one reading, whichever part of a case takes it."""

import json
from importlib.resources import files
from typing import Any

from starlette.testclient import TestClient

CASE: dict[str, Any] = json.loads(files("witnessmark.demo").joinpath("cases/nothing-wrong.json").read_text("utf-8"))


def test_every_part_takes_a_reading_as_equally_sure(client: TestClient) -> None:
    want = {"everything": True, "requests": True}
    answer = client.post("/v1/cases", json={"case": CASE, "want": want}).json()
    parts = answer["result"]["parts"]
    suction = parts["compression"]["request"]["suction_pressure"]["uncertainty"]
    assert suction == parts["superheat"]["request"]["pressure"]["uncertainty"] > 0
    told = [line for part in parts.values() for line in part["assumptions"] if "uncertainty" in line]
    widths: dict[str, set[str]] = {line.partition(": ")[0].rpartition(".")[2]: set() for line in told}
    for line in told:
        widths[line.partition(": ")[0].rpartition(".")[2]].add(line.partition(": ")[2])
    assert {name: said for name, said in widths.items() if len(said) > 1} == {}


def test_what_was_stated_wins_everywhere(client: TestClient) -> None:
    stated = json.loads(json.dumps(CASE))
    stated["readings"][0]["values"]["suction_pressure"]["uncertainty"] = 0.02
    answer = client.post("/v1/cases", json={"case": stated, "want": {"everything": True, "requests": True}}).json()
    parts = answer["result"]["parts"]
    assert parts["compression"]["request"]["suction_pressure"]["uncertainty"] == 0.02
    assert parts["superheat"]["request"]["pressure"]["uncertainty"] == 0.02
