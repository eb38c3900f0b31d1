"""What is said of a long run is what was seen."""

import time
from collections import Counter

import pytest

from tests.bench import page, soak
from tests.bench.soak import Seen, quantile, report, requests, thirds


def test_the_first_third_is_left_out() -> None:
    assert thirds([9, 9, 1, 3, 5, 7]) == (2, 6)
    assert quantile([3.0, 1.0, 2.0], 0.5) == 2.0
    assert quantile([1.0], 1.0) == 1.0


def test_every_operation_is_asked() -> None:
    asked = requests()
    assert {method for method, _, _ in asked} == {"GET", "POST"}
    assert all(bool(body) == (method == "POST") for method, _, body in asked)
    assert all("{" not in path for _, path, _ in asked)


def test_what_grows_and_what_is_late_is_said() -> None:
    health, bare, statuses = [1.0, 2.0, 80.0], [1.0, 60.0, 90.0], Counter({200: 3, 503: 1, 0: 1})
    seen = Seen([1, 1, 100, 100, 130, 130], [5] * 6, [2] * 6, health, bare, statuses, 0.25, 3.0)
    said = report(seen, 20, None)
    assert "| memory, MB | 100.0 | 130.0 | 130.0 |" in said
    assert "1 × none, 3 × 200, 1 × 503" in said
    assert "25% of one core" in said
    assert "--minutes 20 --rate 3`" in said
    assert "that it could answer" not in said
    assert "largest\n80.0 ms; 1 took more than 50 ms" in said
    assert "60.0, 90.0, 90.0 ms; 2 took more than 50 ms" in said


def test_which_share_of_what_can_be_answered_is_said() -> None:
    said = report(Seen([1.0], [1], [1], [1.0], [1.0], Counter({200: 1}), 0.1, 7.0, 10.0, 0.2), 60, 70)
    assert "--minutes 60 --share 70`" in said
    assert "\n7.0 a second, 70% of the 10.0 that it could answer" in said
    assert "sent 0.2 s after its time" in said


def test_all_requests_are_sent_once_by_all_connections_together(monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[str] = []

    def asked(_connection: object, _method: str, path: str, _body: bytes) -> int:
        sent.append(path)
        return 200

    monkeypatch.setattr(soak, "requests", lambda: [("GET", str(n), b"") for n in range(1000)])
    monkeypatch.setattr(soak, "ask", asked)
    seen = Seen()
    for thread in soak.loaded(9, 2000.0, time.monotonic() + 0.2, seen):
        thread.join()
    assert len(set(sent)) == len(sent)
    assert set(map(str, range(4))) <= set(sent)
    assert seen.statuses[200] == len(sent) <= 402


@pytest.mark.parametrize(("status", "code"), [(200, 0), (503, 0), (500, 1), (0, 1)])
def test_a_fault_of_the_service_is_the_exit_code(status: int, code: int, monkeypatch: pytest.MonkeyPatch) -> None:
    seen = Seen([1.0], [1], [1], [1.0], [1.0], Counter({status: 1}), 0.1)
    monkeypatch.setattr(soak, "run", lambda *_: seen)
    monkeypatch.setattr(page, "write", lambda *_: None)
    assert soak.main(["--minutes", "0.1"]) == code
