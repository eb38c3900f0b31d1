"""A service of one's own on a free loopback port, for as long as a block runs."""

from __future__ import annotations

import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from witnessmark_client import Client, TransportError, UnavailableError

START_SECONDS = 60.0


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
    """Return when the service is ready; TimeoutError if it is not in time, RuntimeError if it stopped."""
    deadline = time.monotonic() + seconds
    with Client(url, timeout=2) as client:
        while time.monotonic() < deadline:
            if process.poll() is not None:
                raise RuntimeError(f"the service stopped with code {process.returncode}")
            try:
                client.readyz()
            except (TransportError, UnavailableError):
                time.sleep(0.1)
            else:
                return
    raise TimeoutError(f"the service was not ready after {seconds:.0f} s")
