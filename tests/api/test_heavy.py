"""Heavy libraries stay out of a process that hands slow work on, and what needs one is answered all the same."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import AsyncIterator, Iterator
from typing import Any

import pytest
from tests.api.test_handed import sent, told

from witnessmark import heavy
from witnessmark.api import handed
from witnessmark.api.edge import child
from witnessmark.api.openapi import examples
from witnessmark.api.slow_work import pace
from witnessmark.casework.report import charts
from witnessmark.refrigerants import library

HEAVY = ("CoolProp", "matplotlib", "fpdf", "pyarrow")
WARM = """
import json, sys
from witnessmark import heavy, serving
serving.application()
heavy.keep_out()
from witnessmark.api.warm_up import load_heavy, warm_up
warm_up()
light = [name for name in sys.argv[1:] if name in sys.modules]
heavy.let_in()
load_heavy()
print(json.dumps([light, [name for name in sys.argv[1:] if name in sys.modules]]))
"""


@pytest.fixture
def kept_out() -> Iterator[None]:
    heavy.keep_out()
    yield
    heavy.let_in()


def test_a_process_that_answers_loads_none_and_one_for_slow_work_what_draws_and_the_properties() -> None:
    done = subprocess.run([sys.executable, "-c", WARM, *HEAVY], capture_output=True, text=True, check=True)  # noqa: S603 - our own code
    assert json.loads(done.stdout.splitlines()[-1]) == [[], ["CoolProp", "matplotlib"]]


@pytest.mark.usefixtures("kept_out")
@pytest.mark.parametrize("ask", [library.coolprop.__wrapped__, heavy.ask, charts._bars, charts._curve])  # noqa: SLF001
def test_whoever_needs_one_is_told_that_it_is_elsewhere(ask: Any) -> None:
    with pytest.raises(heavy.KeptOutError):
        ask()
    heavy.let_in()
    assert library.coolprop() is library.coolprop()


@pytest.fixture
async def one_process(client: Any) -> AsyncIterator[None]:  # noqa: ARG001 - the application, started
    pace.clear()
    await handed.begin(1, heavy.let_in)
    yield
    handed.end()
    pace.clear()


NEEDED = ("pressure_test", "saturation")


@pytest.mark.anyio
@pytest.mark.skipif(not child.possible(), reason="no process can be forked here")
@pytest.mark.usefixtures("one_process", "kept_out")
@pytest.mark.parametrize("operation", NEEDED)
async def test_a_light_request_that_needs_one_is_answered_by_the_other_process(operation: str) -> None:
    body = next(iter(examples()[operation].values()))["value"]
    path = {"pressure_test": "/v1/pressure-test", "saturation": "/v1/saturation"}[operation]
    if operation == "saturation":
        body = {"refrigerant": "R-32/125/134a (30/30/40)", "temperature": {"value": 5, "unit": "degC"}}
    found = await sent(path, json.dumps(body).encode())
    assert found.status_code == 200
    heavy.let_in()
    assert told(await sent(path, json.dumps(body).encode())) == told(found)
