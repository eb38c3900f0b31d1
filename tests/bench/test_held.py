"""What a process and those below it hold is added up, and what ends meanwhile does not matter."""

import os
import subprocess
import sys

from tests.bench import held

CHILD = "import os, sys, time; f = open(os.devnull); print(flush=True); sys.stdin.read()"


def test_a_process_below_is_counted() -> None:
    before = held.memory(os.getpid()), held.descriptors(os.getpid()), held.threads(os.getpid())
    command = [sys.executable, "-c", CHILD]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:  # noqa: S603 - our own
        assert process.stdout is not None
        process.stdout.readline()
        assert process.pid in held.family(os.getpid())
        assert held.descriptors(os.getpid()) >= before[1] + 4
        assert held.threads(os.getpid()) == before[2] + 1
        assert held.memory(process.pid) > 1
        process.communicate()
    assert held.descriptors(os.getpid()) == before[1]


def test_processor_time_only_grows() -> None:
    before = held.processor(os.getpid())
    sum(range(5_000_000))
    assert held.processor(os.getpid()) > before


def test_what_has_ended_counts_for_nothing() -> None:
    with subprocess.Popen([sys.executable, "-c", ""]) as process:
        process.wait()
    assert held.family(process.pid) == [process.pid]
    assert held.summed(process.pid, lambda one: len(os.listdir(f"/proc/{one}"))) == 0  # noqa: PTH208
