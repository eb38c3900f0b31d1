"""The checks that need a running server or node: `python -m tests.contract [golden|rules|clients|fuzz]`.

Without a word all but golden.

golden  writes openapi/openapi.json, the example answers and the recorded meaning anew
rules   lints openapi/openapi.json with Spectral and the house rules
clients has three generators make clients or types from openapi/openapi.json, and compiles them
fuzz    runs schemathesis (all phases and checks, examples as schemathesis.toml says) against a fresh server
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

from tests.contract import answers, generators, meaning
from witnessmark.api.app import app

ROOT = Path(__file__).parents[2]
GOLDEN = ROOT / "openapi" / "openapi.json"
LINT = ROOT / "openapi" / "lint"
NODE_TOOLS = LINT / "node_modules" / ".bin"
BIN = Path(sys.executable).parent


class ToolError(Exception):
    """A tool cannot be installed, or says that the document is not as it should be."""


def golden() -> None:
    """Write the example answers and the document as the service gives them."""
    answers.write()
    meaning.write()
    GOLDEN.write_text(json.dumps(app.openapi(), indent=1, ensure_ascii=False, sort_keys=True) + "\n", "utf-8")


def tools() -> dict[str, str]:
    """Install linter and generators of node from their lock on first use; the environment in which they run."""
    environment = {**os.environ, "PATH": f"{BIN}{os.pathsep}{os.environ['PATH']}"}
    if not NODE_TOOLS.joinpath("tsc").exists():
        install = [str(BIN / "npm"), "ci", "--ignore-scripts", "--no-audit", "--no-fund"]
        try:
            done = subprocess.run(install, cwd=LINT, check=False, env=environment, capture_output=True, text=True)  # noqa: S603
        except OSError as error:
            raise ToolError(f"npm cannot be run: {error}") from error
        if done.returncode:
            raise ToolError(
                "linter and generators (openapi/lint/package-lock.json) cannot be installed: npm ci failed with exit "
                f"code {done.returncode}; is the package registry in reach?\n{done.stdout}{done.stderr}"
            )
    return environment


def rules() -> None:
    """Spectral, clean under the house rules."""
    environment = tools()
    command = [str(NODE_TOOLS / "spectral"), "lint", str(GOLDEN), "--ruleset", "rules.yaml", "--fail-severity", "hint"]
    done = subprocess.run(command, cwd=LINT, check=False, env=environment)  # noqa: S603
    if done.returncode:
        raise ToolError(f"rules: the document breaks them (exit code {done.returncode})")


def clients() -> None:
    """What common generators of clients make of the document."""
    tools()
    generators.check(GOLDEN, NODE_TOOLS, ROOT / "openapi" / "generators" / "python-client.yaml")


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


def wait_until_ready(address: str, seconds: float = 240) -> None:
    """Poll until the address answers; three servers that start at once on a busy machine take their time."""
    deadline = time.monotonic() + seconds
    while True:
        try:
            with urllib.request.urlopen(address, timeout=2):  # noqa: S310 - loopback
                return
        except OSError:
            if time.monotonic() > deadline:
                raise
            time.sleep(0.1)


# Parts, run side by side; only the second holds operations that a link leads to, so only it has a stateful phase. It is
# all that is not in the others, so that no tag can be forgotten. A case is made of all other requests, which are
# covered one by one: its own coverage phase would send tens of thousands of bodies.
HALVES = {
    "examples,coverage,fuzzing": ("--include-tag=calculations",),
    "examples,coverage,fuzzing,stateful": ("--exclude-tag=calculations", "--exclude-tag=cases"),
    "examples,fuzzing": ("--include-tag=cases",),
}


def fuzz(*arguments: str) -> None:
    """Fuzz every operation with schemathesis; more arguments go to it as they are."""
    shutil.rmtree(ROOT / ".schemathesis", ignore_errors=True)
    with ThreadPoolExecutor() as pool:
        halves = [pool.submit(fuzz_half, phases, chosen, arguments) for phases, chosen in HALVES.items()]
        for half in halves:
            half.result()


def fuzz_half(phases: str, chosen: tuple[str, ...], arguments: tuple[str, ...]) -> None:
    """Fuzz the chosen operations against a server of their own; what is printed is printed at the end."""
    hooks = {**os.environ, "SCHEMATHESIS_HOOKS": "tests.contract.hooks"}
    config = str(ROOT / "tests" / "contract" / "schemathesis.toml")
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
            steps = [rules, clients, fuzz]
        case ["golden"]:
            steps = [golden]
        case ["rules"]:
            steps = [rules]
        case ["clients"]:
            steps = [clients]
        case ["fuzz", *more]:
            steps = [lambda: fuzz(*more)]
        case _:
            sys.stderr.write(__doc__ or "")
            return 2
    try:
        for step in steps:
            step()
    except (ToolError, generators.GeneratorError) as failed:
        sys.stderr.write(f"contract: {failed}\n")
        return 1
    except subprocess.CalledProcessError as failed:
        sys.stderr.write(f"contract: {failed}\n")
        return failed.returncode
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
