import json
import subprocess
import sys

import pytest

from witnessmark.demo import run as demo
from witnessmark.demo.server import free_port, server, wait_until_ready


def test_the_demo_runs_the_job_end_to_end(capsys: pytest.CaptureFixture[str]) -> None:
    assert demo.run() == 0
    page = capsys.readouterr().out
    for part in ("Derived numbers", "NOT PUMPING", "Failure modes", "Evidence on", "system causes", "When to look"):
        assert part in page
    assert all(len(line) <= 140 for line in page.splitlines())


def test_as_json_it_pipes(capsys: pytest.CaptureFixture[str]) -> None:
    with server() as url:
        assert demo.run(url, as_json=True) == 0
    rows = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [row["operation"] for row in rows] == ["compression", "superheat", "diagnosis", "cleanup"]


def test_a_service_that_stops_is_noticed() -> None:
    with subprocess.Popen([sys.executable, "-c", "raise SystemExit(3)"]) as process:
        process.wait()
        with pytest.raises(RuntimeError, match="code 3"):
            wait_until_ready(f"http://127.0.0.1:{free_port()}", process)


def test_a_service_that_never_answers_is_a_timeout() -> None:
    with subprocess.Popen([sys.executable, "-c", "import time; time.sleep(30)"]) as process:
        with pytest.raises(TimeoutError):
            wait_until_ready(f"http://127.0.0.1:{free_port()}", process, seconds=0.5)
        process.kill()
