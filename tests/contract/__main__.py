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


def fuzz(*arguments: str) -> None:
    """Fuzz with schemathesis over every operation; more arguments go to it as they are."""
    shutil.rmtree(ROOT / ".schemathesis", ignore_errors=True)
    hooks = {**os.environ, "SCHEMATHESIS_HOOKS": "tests.contract.hooks"}
    config = str(ROOT / "tests" / "contract" / "schemathesis.toml")
    with server() as url:
        command = [str(BIN / "schemathesis"), "--config-file", config, "run", f"{url}/openapi.json"]
        checks = ["--checks", "all", "--phases", "examples,coverage,fuzzing,stateful", "--workers", "1"]
        subprocess.run([*command, *checks, *arguments], cwd=ROOT, check=True, env=hooks)  # noqa: S603


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
