"""The files for operators held against their formats' own checkers: `make operators`.

hadolint for the Dockerfile, the schemas of Kubernetes for the manifests, promtool for alert rules and for the queries
of the dashboard, nginx for the proxy. The first two come from requirements/operations.txt into a folder of their own
(its `bin` is the argument); the others are used where they are installed, and else it says that they are not.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "docs" / "operations"
KUBERNETES = ("1.30", "1.34", "1.37")
"""Versions whose schemas are asked."""
HTTP2 = "    http2 on;\n"
"""A directive of nginx 1.25.1; older ones have it in `listen`."""


def queries(dashboard: Path) -> str:
    """The queries of a dashboard as rules that record them, which is a form that promtool reads."""
    panels = json.loads(dashboard.read_text("utf-8"))["panels"]
    found = [target["expr"] for panel in panels for target in panel["targets"]]
    rules = [{"record": f"panel:{place}", "expr": query} for place, query in enumerate(found)]
    return json.dumps({"groups": [{"name": "dashboard", "rules": rules}]})  # JSON is YAML


def proxy(example: str, folder: Path) -> str:
    """A whole configuration around the example, with a certificate and a port that anybody may have."""
    own = example.replace("/etc/ssl/witnessmark/", f"{folder}/").replace(
        "listen 443 ssl;", "listen 127.0.0.1:18443 ssl;"
    )
    return f"pid {folder}/pid; error_log {folder}/log; events {{}}\nhttp {{ access_log off;\n{own}\n}}\n"


def certificate(folder: Path) -> None:
    """A key and a certificate for it, for a day."""
    names = ["-keyout", str(folder / "key.pem"), "-out", str(folder / "fullchain.pem")]
    command = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "1", "-subj", "/CN=example.org"]
    subprocess.run([*command, *names], check=True, capture_output=True)  # noqa: S603 - our own command


def dockerfile(tools: Path) -> list[str]:
    """What is asked of the Dockerfile."""
    return [str(tools / "hadolint"), str(ROOT / "Dockerfile")]


def ran(command: Sequence[str]) -> bool:
    """Whether a checker finds no fault; what it says is shown."""
    done = subprocess.run(command, check=False, capture_output=True, text=True)  # noqa: S603 - our own command
    sys.stdout.write("".join(f"  {line}\n" for line in (done.stdout + done.stderr).splitlines()))
    return done.returncode == 0


def of_manifests(tools: Path, _folder: Path) -> bool:
    """By the schemas of several versions."""
    tool = [str(tools / "kubernetes-validate"), "--strict", "-k"]
    return all(ran([*tool, version, str(FOLDER / "kubernetes.yaml")]) for version in KUBERNETES)


def of_rules(_tools: Path, folder: Path) -> bool:
    """Alert rules, and the queries of the dashboard."""
    panels = folder / "dashboard.yaml"
    panels.write_text(queries(FOLDER / "dashboard.json"), "utf-8")
    return ran(["promtool", "check", "rules", str(FOLDER / "alerts.yaml"), str(panels)])


def of_proxy(_tools: Path, folder: Path) -> bool:
    """As it is, or for an nginx before 1.25.1 without the one directive that it lacks."""
    certificate(folder)
    file, whole = folder / "nginx.conf", proxy((FOLDER / "nginx.conf").read_text("utf-8"), folder)
    version = subprocess.run(["nginx", "-v"], check=False, capture_output=True, text=True).stderr  # noqa: S607
    numbers = tuple(int(part) for part in version.partition("nginx/")[2].split()[0].split(".")[:3])
    file.write_text(whole if numbers >= (1, 25, 1) else whole.replace(HTTP2, ""), "utf-8")
    return ran(["nginx", "-t", "-c", str(file)])


CHECKS: dict[str, tuple[str | None, Callable[[Path, Path], bool]]] = {
    "Dockerfile, hadolint": (None, lambda tools, _folder: ran(dockerfile(tools))),
    "manifests, schemas of Kubernetes": (None, of_manifests),
    "alert rules and dashboard, promtool": ("promtool", of_rules),
    "proxy, nginx": ("nginx", of_proxy),
}


def main(words: Sequence[str]) -> int:
    """Check all; 1 where one finds a fault."""
    sound = True
    for name, (needs, check) in CHECKS.items():
        if needs is not None and shutil.which(needs) is None:
            sys.stdout.write(f"{name}: not checked, {needs} is not installed\n")
            continue
        with tempfile.TemporaryDirectory() as folder:
            found = check(Path(words[0]), Path(folder))
        sys.stdout.write(f"{name}: {'sound' if found else 'FAULTS'}\n")
        sound &= found
    return int(not sound)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
