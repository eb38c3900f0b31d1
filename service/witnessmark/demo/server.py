"""A service of one's own on a free loopback port, for as long as a block runs."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from witnessmark_client import Client, TransportError, UnavailableError

START_SECONDS = 300.0
"""A start takes some ten seconds of a processor, minutes where other work keeps the machine busy."""
PATIENCE = 10.0
"""Seconds after which it is said that the service still starts."""


class StartError(Exception):
    """The service that was started for a while did not come to answer; the text says why."""


def free_port() -> int:
    """A loopback port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port


@contextmanager
def server() -> Iterator[str]:
    """Address of a running service; it is stopped at the end of the block."""
    port = free_port()
    command = [sys.executable, "-m", "witnessmark.cli", "serve", "--port", str(port)]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as process:  # noqa: S603 - our own command
        try:
            url = f"http://127.0.0.1:{port}"
            wait_until_ready(url, process)
            yield url
        finally:
            process.terminate()


def wait_until_ready(url: str, process: subprocess.Popen[bytes], seconds: float = START_SECONDS) -> None:
    """Return when the service is ready; StartError if it is not in time, or stopped. Says so where it takes long."""
    begun, said = time.monotonic(), False
    with Client(url, timeout=2) as client:
        while (waited := time.monotonic() - begun) < seconds:
            said = said or _said(waited, seconds)
            if process.poll() is not None:
                raise StartError(f"the service stopped with code {process.returncode}")
            try:
                client.readyz()
            except (TransportError, UnavailableError):
                time.sleep(0.1)
            else:
                return
    text = f"the service was not ready after {seconds:.0f} s: the machine may be busy with other work"
    raise StartError(f"{text}; start it by itself (`witnessmark serve`) and give its address (`--url`)")


def _said(waited: float, seconds: float) -> bool:
    """Whether it was said that this takes long."""
    if waited < PATIENCE:
        return False
    sys.stderr.write(f"the service is still starting; it has up to {seconds:.0f} s\n")
    return True
