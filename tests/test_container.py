"""The shipped image, built from a clean clone and run as it is meant to run: read-only, not root, no privileges.

Runs only when asked for (WITNESSMARK_CONTAINER=1), within WITNESSMARK_CONTAINER_MINUTES, since it takes minutes and
needs podman, a package registry and a local image under the name that the Dockerfile builds on. The container gets no
network, and all is asked from inside; then another on loopback, against which the demo runs.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pytest

from witnessmark.demo.server import free_port

ROOT = Path(__file__).parents[1]
IMAGE, BIN = "localhost/witnessmark-under-test", "/opt/witnessmark/bin"
MINUTES = float(os.environ.get("WITNESSMARK_CONTAINER_MINUTES", "30"))
"""For all of it: building took 28 of them on a machine whose load was 25."""
START_SECONDS, STOP_SECONDS = 6 * MINUTES, 15
MEGABYTE = 1_000_000
MOST_ADDED = 450 * MEGABYTE
HARDENED = (
    "--read-only", "--read-only-tmpfs=false", "--cap-drop=ALL", "--security-opt=no-new-privileges",
    "--ulimit=nofile=1024:1024", "--ulimit=nproc=1000:1000",
)  # fmt: skip
ASK = """
import json, sys, urllib.request as u
path, accept, body, port = [*sys.argv[1:], "8000"][:4]
headers = {"content-type": "application/json", "accept": accept}
answer = u.urlopen(u.Request("http://127.0.0.1:" + port + path, body.encode() or None, headers), timeout=60)
print(json.dumps([answer.status, answer.headers["content-type"], len(answer.read())]))
"""
SET_USER = """
import os, stat
for folder, _, names in os.walk("/"):
    if folder.startswith(("/proc", "/sys", "/dev")):
        continue
    for path in (os.path.join(folder, name) for name in names):
        mode = os.lstat(path).st_mode
        if stat.S_ISREG(mode) and mode & (stat.S_ISUID | stat.S_ISGID):
            print(path)
"""
TRY_TO_WRITE = """
import os
for folder in ("/", "/tmp", "/var/tmp", "/opt/witnessmark"):
    try:
        open(os.path.join(folder, "probe"), "w")
    except OSError:
        continue
    print(folder)
"""


def podman(*arguments: str, check: bool = True) -> str:
    """Standard output of podman; runc where there is one, since it asks less of the machine than other runtimes."""
    runtime = shutil.which("runc")
    command = ["podman", *(["--runtime", runtime] if runtime else []), *arguments]
    done = subprocess.run(command, capture_output=True, text=True, check=False)  # noqa: S603 - our own command
    assert not check or done.returncode == 0, done.stderr[-3000:]
    return done.stdout.strip()


def base_name() -> str:
    """The image that both stages of the Dockerfile build on, unless another is named for the build."""
    text = (ROOT / "Dockerfile").read_text("utf-8")
    assert set(re.findall(r"^FROM (\S+)", text, re.MULTILINE)) == {"${BASE}"}
    (named,) = re.findall(r"^ARG BASE=(\S+)$", text, re.MULTILINE)
    return str(named)


def why_not() -> str | None:
    """Why the image cannot be built here, or None."""
    if os.environ.get("WITNESSMARK_CONTAINER") != "1":
        return "set WITNESSMARK_CONTAINER=1 to build and run the image (takes minutes)"
    if missing := [name for name in ("podman", "git") if shutil.which(name) is None]:
        return f"not installed: {', '.join(missing)}"
    known = subprocess.run(["podman", "image", "exists", base_name()], check=False)  # noqa: S603, S607 - our own command
    return None if known.returncode == 0 else f"no local image {base_name()}"


def build(folder: Path) -> None:
    """Build from what is committed, and from nothing else."""
    clone = ["git", "clone", "--quiet", "--no-hardlinks", str(ROOT), str(folder)]
    subprocess.run(clone, check=True)  # noqa: S603 - our own command
    podman(
        "build", "--format=docker", "--isolation=chroot", "--pull-never", f"--file={folder / 'Dockerfile'}",
        f"--tag={IMAGE}", str(folder),
    )  # fmt: skip


@contextmanager
def running(*more: str) -> Iterator[str]:
    """A hardened container of the image; removed at the end of the block."""
    container = podman("run", "--detach", *HARDENED, *more, IMAGE)
    try:
        yield container
    finally:
        podman("rm", "--force", container, check=False)


def inspected(name: str, template: str) -> str:
    return podman("inspect", name, "--format", template)


def python(container: str, *arguments: str) -> str:
    return podman("exec", container, f"{BIN}/python", "-c", *arguments)


def asked(container: str, path: str, body: object = None, accept: str = "*/*") -> tuple[int, str, int]:
    """Status, media type and length of an answer."""
    status, media, length = json.loads(
        python(container, ASK, path, accept, "" if body is None else json.dumps(body, separators=(",", ":")))
    )
    return status, media, length


def wait_until_ready(container: str, port: int = 8000) -> None:
    deadline = time.monotonic() + START_SECONDS
    while time.monotonic() < deadline:
        assert inspected(container, "{{.State.Status}}") == "running", podman("logs", container, check=False)
        if podman("exec", container, f"{BIN}/python", "-c", ASK, "/readyz", "*/*", "", str(port), check=False):
            return
        time.sleep(0.5)
    pytest.fail(f"not ready after {START_SECONDS:.0f} s")


def check_health(container: str) -> None:
    """The image's own check, run as the container engine runs it."""
    podman("healthcheck", "run", container)
    assert inspected(container, "{{.State.Health.Status}}") == "healthy"


def check_walls(container: str) -> None:
    assert podman("exec", container, "id", "-u") == "10001"
    assert python(container, TRY_TO_WRITE) == ""
    assert python(container, SET_USER) == ""
    status = dict(
        line.split(":\t", 1)
        for line in podman("exec", container, "cat", "/proc/1/status").splitlines()
        if ":\t" in line
    )
    assert int(status["CapEff"], 16) == 0
    assert status["NoNewPrivs"] == "1"


def example(operation: str) -> object:
    found: Sequence[dict[str, object]] = list(
        json.loads((ROOT / "openapi" / "examples" / f"{operation}.json").read_text("utf-8")).values()
    )
    return found[0]["value"]


def check_answers(container: str) -> None:
    for path in ("/docs", "/docs/swagger-ui-bundle.js", "/openapi.json", "/v1/refrigerants", "/v1/findings"):
        assert asked(container, path)[0] == 200
    posts = {"/v1/superheat": "superheat", "/v1/diagnosis": "diagnose", "/v1/cleanup/plan": "plan_cleanup"}
    for path, operation in posts.items():
        assert asked(container, path, example(operation))[:2] == (200, "application/json")
    for media in ("image/svg+xml", "image/png"):
        status, found, length = asked(container, "/v1/cycle/diagram", example("cycle_diagram"), media)
        assert (status, found) == (200, media)
        assert length > 10_000
    assert "witnessmark/api/examples" in python(container, "from witnessmark.api import openapi as o; "
                                                "print(o.examples_folder(), len(o.examples()))")  # fmt: skip


def check_demo(report: Path) -> None:
    """The demo, from outside, against a container that listens on loopback only."""
    port = free_port()
    where = ("--network=host", "--env=WITNESSMARK_HOST=127.0.0.1", f"--env=WITNESSMARK_PORT={port}")
    with running(*where) as container:
        wait_until_ready(container, port)
        check_health(container)
        command = [sys.executable, "-m", "witnessmark.cli", "demo", "--url", f"http://127.0.0.1:{port}"]
        done = subprocess.run(  # noqa: S603 - our own command
            [*command, "--report", str(report)], cwd=ROOT, capture_output=True, text=True, check=False
        )
    assert done.returncode == 0, done.stderr
    assert any(file.suffix == ".pdf" for file in report.iterdir())


def check_size() -> None:
    added = int(podman("image", "inspect", IMAGE, "--format", "{{.Size}}")) - int(
        podman("image", "inspect", base_name(), "--format", "{{.Size}}")
    )
    assert added < MOST_ADDED


@pytest.mark.slow
@pytest.mark.network
@pytest.mark.timeout(60 * MINUTES)
def test_the_image_serves_read_only_and_stops_in_order(tmp_path: Path) -> None:
    if reason := why_not():
        pytest.skip(reason)
    build(tmp_path / "clone")
    check_size()
    with running("--network=none") as container:
        wait_until_ready(container)
        check_health(container)
        check_walls(container)
        check_answers(container)
        podman("stop", f"--time={STOP_SECONDS}", container)
        assert inspected(container, "{{.State.ExitCode}}") == "0", "killed, not drained"

    check_demo(tmp_path / "report")


def test_the_build_needs_no_more_than_the_ignore_file_lets_through() -> None:
    allowed = {line[1:] for line in (ROOT / ".dockerignore").read_text("utf-8").splitlines() if line.startswith("!")}
    copied = re.findall(r"^COPY (?!--from)(.+) \S+$", (ROOT / "Dockerfile").read_text("utf-8"), re.MULTILINE)
    for name in " ".join(copied).split():
        assert any(name == one or name.startswith(f"{one}/") for one in allowed), name
        assert (ROOT / name).exists()
