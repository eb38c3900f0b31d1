"""The files for operators: they can be read, and name only what the service has."""

import json
import re
from pathlib import Path

import pytest
import yaml  # type: ignore[import-untyped] # no stubs are installed for so little

from witnessmark.api.app import app
from witnessmark.api.edge import metrics
from witnessmark.api.problems import KINDS
from witnessmark.cli import parser
from witnessmark.settings import SettingError, Settings, read

FOLDER = Path(__file__).parents[1] / "docs" / "operations"
MANIFESTS = list(yaml.safe_load_all((FOLDER / "kubernetes.yaml").read_text("utf-8")))
(POD,) = (one["spec"]["template"]["spec"] for one in MANIFESTS if one["kind"] == "Deployment")
(CONTAINER,) = POD["containers"]


def counted() -> dict[str, set[str]]:
    """Names of series with their labels."""
    own = (metrics.requests, metrics.work, metrics.waits, metrics.waiting, metrics.problems, metrics.dropped,
           metrics.connections, metrics.verdicts)  # fmt: skip
    found: dict[str, set[str]] = {}
    for one in own:
        name, labels = one._name, set(one._labelnames)  # noqa: SLF001
        endings = {"histogram": ("_bucket", "_count", "_sum"), "counter": ("_total",), "gauge": ("",)}[one._type]  # noqa: SLF001
        found |= {name + ending: labels | ({"le"} if ending == "_bucket" else set()) for ending in endings}
    return found


def queries() -> list[str]:
    rules = yaml.safe_load((FOLDER / "alerts.yaml").read_text("utf-8"))["groups"][0]["rules"]
    panels = json.loads((FOLDER / "dashboard.json").read_text("utf-8"))["panels"]
    return [rule["expr"] for rule in rules] + [target["expr"] for panel in panels for target in panel["targets"]]


@pytest.mark.parametrize("query", queries())
def test_rules_and_panels_ask_for_what_is_counted(query: str) -> None:
    named = re.findall(r"witnessmark_[a-z_]+", query)
    assert named
    known = counted()
    assert set(named) <= known.keys()
    labels = {label for names in re.findall(r"by \(([^)]+)\)", query) for label in names.split(", ")}
    labels |= set(re.findall(r'([a-z]+)="', query))
    assert labels <= set().union(*(known[name] for name in named))
    assert set(re.findall(r'kind="([^"]+)"', query)) <= KINDS.keys()
    assert query.count("(") == query.count(")")


def test_the_container_is_started_as_the_command_line_has_it() -> None:
    image = (FOLDER.parents[1] / "Dockerfile").read_text("utf-8")
    assert f'CMD ["{CONTAINER["command"][0]}", "serve"]' in image
    options = parser().parse_args(CONTAINER["args"])
    given = read({row["name"]: row["value"] for row in CONTAINER["env"]}, {"keys_file": options.keys_file})
    assert POD["terminationGracePeriodSeconds"] >= given.pause_seconds + given.drain_seconds + 2
    assert CONTAINER["ports"][0]["containerPort"] == Settings().port


def test_probes_ask_what_there_is() -> None:
    paths = {CONTAINER[f"{kind}Probe"]["httpGet"]["path"] for kind in ("startup", "readiness", "liveness")}
    assert paths <= app.openapi()["paths"].keys()
    assert CONTAINER["livenessProbe"]["httpGet"]["path"] == "/livez"


def test_links_to_services_do_not_become_settings() -> None:
    """Kubernetes would set WITNESSMARK_SERVICE_HOST and WITNESSMARK_PORT for a Service of this name."""
    (service,) = (one["metadata"]["name"] for one in MANIFESTS if one["kind"] == "Service")
    for name, value in (("SERVICE_HOST", "10.0.0.1"), ("PORT", "tcp://10.0.0.1:80")):
        with pytest.raises(SettingError, match=r"no such setting|whole number"):
            read({f"{service.upper()}_{name}": value}, {})
    assert POD["enableServiceLinks"] is False


def test_parts_of_the_manifests_fit_each_other() -> None:
    kinds = {one["kind"]: one for one in MANIFESTS}
    deployment = kinds["Deployment"]
    labels = deployment["spec"]["template"]["metadata"]["labels"]
    assert deployment["spec"]["selector"]["matchLabels"] == labels == kinds["Service"]["spec"]["selector"]
    assert kinds["PodDisruptionBudget"]["spec"]["selector"]["matchLabels"] == labels
    scaled = kinds["HorizontalPodAutoscaler"]["spec"]
    assert scaled["scaleTargetRef"]["name"] == deployment["metadata"]["name"]
    assert (
        kinds["PodDisruptionBudget"]["spec"]["minAvailable"] < scaled["minReplicas"] == deployment["spec"]["replicas"]
    )
    assert {one["name"] for one in CONTAINER["volumeMounts"]} == {one["name"] for one in POD["volumes"]}
    assert CONTAINER["securityContext"]["readOnlyRootFilesystem"]


def test_the_proxy_waits_no_less_than_the_service_and_keeps_counts_to_itself() -> None:
    text = (FOLDER / "nginx.conf").read_text("utf-8")
    assert text.count("{") == text.count("}")
    own = Settings()
    (again,) = re.findall(r"proxy_next_upstream ([^;]+);", text)
    assert "non_idempotent" in again.split()  # else no POST is sent again
    assert int(re.findall(r"proxy_read_timeout (\d+)s", text)[0]) >= own.queue_seconds + own.piece_seconds
    assert int(re.findall(r"proxy_read_timeout (\d+)s", text)[1]) >= 2 * own.rows_seconds
    assert re.search(r"location = /metrics \{\s+deny all;", text)
