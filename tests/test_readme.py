"""What the README shows is what the service answers."""

import contextlib
import io
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from witnessmark.demo.server import server

README = (Path(__file__).parents[1] / "README.md").read_text("utf-8")


def block(name: str) -> str:
    found = re.search(rf"<!-- {name} -->\n```\w*\n(.*?)```", README, re.DOTALL)
    assert found is not None
    return found[1]


@pytest.fixture(scope="module")
def url() -> Iterator[str]:
    with server() as address:
        yield address


def test_the_curl_example(url: str) -> None:
    from witnessmark_client import Client  # noqa: PLC0415 - only this test needs it

    body = json.loads(block("curl").split("-d '")[1].rstrip().rstrip("'"))
    with Client(url) as service:
        answer = service.superheat(**body)
    assert json.loads(block("result")) == answer.result


def test_the_client_example(url: str) -> None:
    code = block("client").replace("http://127.0.0.1:8000", url)
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        exec(compile(code, "README.md", "exec"), {})  # noqa: S102 - our own README
    assert printed.getvalue() == block("printed")


def test_the_readme_opens_with_the_job_and_names_both_commands() -> None:
    first = README.split("\n\n")[1]
    assert first.startswith("A commercial refrigeration")
    assert README.index("make demo") < README.index("make test")
