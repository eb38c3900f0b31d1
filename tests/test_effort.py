"""Work ends when it took too long or when nobody waits."""

import threading

import pytest

from witnessmark import effort
from witnessmark.effort import AbandonedError, Effort, OverworkedError, limited
from witnessmark.errors import InputError


def endless() -> None:
    while True:
        effort.check()


def test_outside_of_a_limit_there_is_none() -> None:
    effort.check()
    with limited(Effort(10.0)):
        effort.check()
    effort.check()


def test_too_much_processor_time_ends_it() -> None:
    with pytest.raises(OverworkedError), limited(Effort(0.01)):
        endless()
    effort.check()


def test_another_thread_ends_it() -> None:
    piece = Effort(60.0)
    threading.Timer(0.01, setattr, (piece, "abandoned", True)).start()
    with pytest.raises(AbandonedError), limited(piece):
        endless()


def test_a_limit_is_of_one_thread() -> None:
    faults: list[BaseException] = []

    def other() -> None:
        try:
            effort.check()
        except BaseException as error:  # noqa: BLE001 - any would be wrong
            faults.append(error)

    with limited(Effort(60.0, abandoned=True)):
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()
    assert faults == []


def test_no_rule_that_sets_a_bad_reading_aside_takes_it_for_one() -> None:
    assert not issubclass(AbandonedError, InputError)
    assert not issubclass(OverworkedError, InputError)
