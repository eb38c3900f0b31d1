"""The checks that need a running server or node: `python -m tests.contract [golden|rules|fuzz]`, all by default.

golden  writes openapi/openapi.json anew
rules   lints openapi/openapi.json with Spectral and the house rules
fuzz    runs schemathesis (all phases, all checks, 300 examples an operation) against a fresh server
"""

from __future__ import annotations

import json
import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from witnessmark.api.app import app

ROOT = Path(__file__).parents[2]
GOLDEN = ROOT / "openapi" / "openapi.json"
LINT = ROOT / "openapi" / "lint"
BIN = Path(sys.executable).parent


def golden() -> None:
    """Write the document as the service gives it."""
    GOLDEN.write_text(json.dumps(app.openapi(), indent=1, ensure_ascii=False, sort_keys=True) + "\n", "utf-8")


def rules() -> None:
    """Spectral, clean under the house rules; installs it from its lock on first use."""
    tools = {**os.environ, "PATH": f"{BIN}{os.pathsep}{os.environ['PATH']}"}
    if not (LINT / "node_modules").is_dir():
        install = [str(BIN / "npm"), "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--silent"]
        subprocess.run(install, cwd=LINT, check=True, env=tools)  # noqa: S603
    spectral = LINT / "node_modules" / ".bin" / "spectral"
    command = [str(spectral), "lint", str(GOLDEN), "--ruleset", "rules.yaml", "--fail-severity", "hint"]
    subprocess.run(command, cwd=LINT, check=True, env=tools)  # noqa: S603


@contextmanager
def server() -> Iterator[str]:
    """A server of its own on a free loopback port."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    url = f"http://127.0.0.1:{port}"
    command = [sys.executable, "-m", "witnessmark.cli", "serve", "--port", str(port)]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL) as process:  # noqa: S603
        try:
            wait_until_ready(f"{url}/readyz")
            with urllib.request.urlopen(f"{url}/openapi.json", timeout=60):  # noqa: S310 - loopback; slow the first time
                yield url
        finally:
            process.terminate()


def wait_until_ready(address: str, seconds: float = 60) -> None:
    """Poll until the address answers."""
    deadline = time.monotonic() + seconds
    while True:
        try:
            with urllib.request.urlopen(address, timeout=2):  # noqa: S310 - loopback
                return
        except OSError:
            if time.monotonic() > deadline:
                raise
            time.sleep(0.1)


# Two halves, run side by side; only the second holds operations that a link leads to, so only it has a stateful phase.
HALVES = {
    "examples,coverage,fuzzing": ["calculations"],
    "examples,coverage,fuzzing,stateful": ["properties", "diagnosis", "cleanup", "restart", "operations"],
}


def fuzz(*arguments: str) -> None:
    """Fuzz every operation with schemathesis; more arguments go to it as they are."""
    shutil.rmtree(ROOT / ".schemathesis", ignore_errors=True)
    with ThreadPoolExecutor() as pool:
        halves = [pool.submit(fuzz_half, phases, tags, arguments) for phases, tags in HALVES.items()]
        for half in halves:
            half.result()


def fuzz_half(phases: str, tags: list[str], arguments: tuple[str, ...]) -> None:
    """Fuzz the operations with these tags against a server of their own; what is printed is printed at the end."""
    hooks = {**os.environ, "SCHEMATHESIS_HOOKS": "tests.contract.hooks"}
    config = str(ROOT / "tests" / "contract" / "schemathesis.toml")
    chosen = [f"--include-tag={tag}" for tag in tags]
    with server() as url:
        command = [str(BIN / "schemathesis"), "--config-file", config, "run", f"{url}/openapi.json"]
        checks = ["--checks", "all", "--phases", phases, "--workers", "1", *chosen]
        done = subprocess.run([*command, *checks, *arguments], cwd=ROOT, env=hooks, capture_output=True, text=True)  # noqa: S603, PLW1510
    sys.stdout.write(done.stdout + done.stderr)
    done.check_returncode()


def main(arguments: list[str]) -> int:
    """Run what is asked for; the exit code is that of the first check that failed."""
    match arguments:
        case []:
            steps = [rules, fuzz]
        case ["golden"]:
            steps = [golden]
        case ["rules"]:
            steps = [rules]
        case ["fuzz", *more]:
            steps = [lambda: fuzz(*more)]
        case _:
            sys.stderr.write(__doc__ or "")
            return 2
    try:
        for step in steps:
            step()
    except subprocess.CalledProcessError as failed:
        return failed.returncode
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
