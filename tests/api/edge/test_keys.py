"""Keys: who is let in, what a key may take, what is said of it."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import schemathesis
from schemathesis.checks import load_all_checks
from schemathesis.specs.openapi.checks import ignored_auth
from starlette.testclient import TestClient
from tests.in_process import running_on

from witnessmark import cli, settings
from witnessmark.api import app as application
from witnessmark.api.edge import keys
from witnessmark.api.openapi import examples
from witnessmark.settings import SettingError, Settings

BODY = {"refrigerant": "R-410A", "temperature": {"value": 5, "unit": "degC"}}
WORK = "/v1/saturation"


def line(name: str, more: str = "") -> tuple[str, str]:
    key, row = keys.made(name)
    return key, row + more


@pytest.fixture
def given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[dict[str, str]]:
    """An installation that asks for keys: each by its name."""
    rows = {
        "van": line("van"),
        "gauge": line("gauge", 'uses = ["metrics"]\n'),
        "slow": line("slow", "requests_per_minute = 2\n"),
        "poor": line("poor", "work_seconds_per_minute = 1e-6\n"),
    }
    file = tmp_path / "keys.toml"
    file.write_text("".join(row for _, row in rows.values()), "utf-8")
    monkeypatch.setattr(settings, "current", lambda: Settings(keys_file=str(file)))
    keys.current.cache_clear()
    yield {name: key for name, (key, _) in rows.items()}
    keys.current.cache_clear()


def posted(client: TestClient, headers: dict[str, str]) -> tuple[int, str]:
    answer = client.post(WORK, json=BODY, headers=headers)
    assert answer.headers["x-content-type-options"] == "nosniff"
    return answer.status_code, answer.json().get("type", "")


def bearer(key: str) -> dict[str, str]:
    return {"authorization": f"Bearer {key}"}


def test_without_the_setting_no_key_is_asked_for(client: TestClient) -> None:
    assert posted(client, {})[0] == 200
    assert "securitySchemes" not in application.app.openapi()["components"]


def test_a_key_is_taken_in_either_header(client: TestClient, given: dict[str, str]) -> None:
    for headers in (bearer(given["van"]), {"x-api-key": given["van"]}, {"authorization": f"bearer  {given['van']}"}):
        assert posted(client, headers) == (200, "")


@pytest.mark.parametrize(
    "headers",
    [{}, {"x-api-key": ""}, bearer("x"), {"authorization": "Basic dTpw"}, {"x-api-key": "é".encode()},
     {"authorization": "Bearer"}],
)  # fmt: skip
def test_without_a_good_key_it_is_401(client: TestClient, given: dict[str, str], headers: dict[str, str]) -> None:
    assert given
    answer = client.post(WORK, json=BODY, headers=headers)
    assert (answer.status_code, answer.json()["type"]) == (401, "/problems/no-key")
    assert answer.headers["www-authenticate"].startswith('Bearer realm="witnessmark"')


def test_a_hash_or_two_keys_open_nothing(client: TestClient, given: dict[str, str]) -> None:
    (account, *_) = keys.current().accounts  # type: ignore[union-attr]
    assert posted(client, bearer(account.key.sha256))[0] == 401
    assert posted(client, {**bearer(given["van"]), "x-api-key": given["van"]})[0] == 401


def test_whatever_is_not_listed_takes_a_key(client: TestClient, given: dict[str, str]) -> None:
    assert given
    for path in ("/livez", "/", "/openapi.json", "/docs", "/docs/start.js", "/problems/no-key"):
        assert client.get(path).status_code == 200
    for path in ("/guide", "/guide/", "/guide/knowledge/index.html"):  # there only where it was built
        assert client.get(path).status_code != 401
    for path in ("/metrics", "/v1/refrigerants", "/v1/bulk/superheat", "/nothing", "/docs/a/b", "//v1/causes"):
        assert client.get(path).status_code == 401
    assert client.options(WORK).status_code == 401


def test_behind_a_folder_of_a_proxy_too(given: dict[str, str]) -> None:
    behind = TestClient(application.asgi, root_path="/w", raise_server_exceptions=False)
    assert behind.get("/w/livez").status_code == 200
    assert behind.get("/w/v1/causes").status_code == 401
    assert behind.get("/w/v1/causes", headers=bearer(given["van"])).status_code == 200


def test_a_key_for_something_else_is_403(client: TestClient, given: dict[str, str]) -> None:
    assert posted(client, bearer(given["gauge"])) == (403, "/problems/key-not-enough")
    assert client.get("/metrics", headers=bearer(given["gauge"])).status_code == 200
    assert client.get("/metrics", headers=bearer(given["van"])).status_code == 403


def test_more_requests_than_a_key_may_are_429(client: TestClient, given: dict[str, str]) -> None:
    assert [posted(client, bearer(given["slow"]))[0] for _ in range(3)] == [200, 200, 429]
    answer = client.post(WORK, json=BODY, headers=bearer(given["slow"]))
    assert answer.json()["type"] == "/problems/budget-spent"
    assert 1 <= int(answer.headers["retry-after"]) <= 30
    assert posted(client, bearer(given["van"]))[0] == 200


def test_slow_work_is_paid_afterwards(client: TestClient, given: dict[str, str]) -> None:
    body = next(iter(examples()["diagnose"].values()))["value"]
    answers = [client.post("/v1/diagnosis", json=body, headers=bearer(given["poor"])) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [200, 429]
    assert int(answers[1].headers["retry-after"]) > 60


def test_an_answer_for_a_key_is_not_for_a_shared_cache(client: TestClient, given: dict[str, str]) -> None:
    assert client.get("/v1/causes", headers=bearer(given["van"])).headers["cache-control"].startswith("private")


def test_no_key_and_no_name_is_told(
    client: TestClient, given: dict[str, str], caplog: pytest.LogCaptureFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = [client.post(WORK, json=BODY, headers=bearer(key + more)) for key in given.values() for more in ("", "x")]
    counted = client.get("/metrics", headers=bearer(given["gauge"])).text
    told = "".join(a.text + str(a.headers) for a in answers) + counted + caplog.text + capsys.readouterr().out
    for key in given.values():
        assert key not in told
    assert '"van"' not in told


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[[key]]\nname = 'a b'\nsha256 = 'secret'\n", "key.0.name: string_pattern_mismatch"),
        ("key = []", "key: too_short"),
        ("[[key]", "no TOML"),
        ("\xff", "no TOML"),
        (line("a")[1] + "uses = ['all']\n", "key.0.uses.0"),
        (line("a")[1] + "rate = 1\n", "extra_forbidden"),
        (line("a")[1] + line("a")[1], "two rows have the same name"),
    ],
)
def test_a_file_that_cannot_be_used_is_refused(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "keys"
    file.write_bytes(text.encode("latin-1"))
    with pytest.raises(SettingError) as refused:
        keys.read(file)
    assert said in str(refused.value)
    assert "secret" not in str(refused.value)


def test_two_names_for_one_key_and_no_file_are_refused(tmp_path: Path) -> None:
    row = line("a")[1]
    file = tmp_path / "keys"
    file.write_text(row + row.replace('"a"', '"b"'), "utf-8")
    with pytest.raises(SettingError, match="same sha256"):
        keys.read(file)
    with pytest.raises(SettingError, match="FileNotFoundError"):
        keys.read(tmp_path / "none")


def test_a_server_without_its_keys_does_not_start(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    command = ["serve", "--keys-file", str(tmp_path / "none")]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("witnessmark.serving.serve", lambda own: keys.read(Path(own.keys_file)))
        assert cli.main(command) == 2
    assert "keys_file: cannot be read" in capsys.readouterr().err


def test_the_command_makes_a_key_that_its_row_knows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["make-key", "van-7"]) == 0
    made = capsys.readouterr()
    file = tmp_path / "keys"
    file.write_text(made.out, "utf-8")
    known = keys.Keys([keys.Account(row) for row in keys.read(file)])
    key = made.err.strip().rpartition(" ")[2]
    assert re.fullmatch("[A-Za-z0-9_-]{43}", key)
    assert key not in made.out
    found = known.holder(key.encode())
    assert found is not None
    assert found.key.name == "van-7"
    with pytest.raises(SystemExit):
        cli.main(["make-key", "a b"])


def test_a_bucket_fills_evenly_and_remembers_what_is_owed(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [0.0]
    monkeypatch.setattr("witnessmark.api.edge.keys.time.monotonic", lambda: now[0])
    bucket = keys.Bucket(60.0, at=0.0)
    bucket.take(90.0)
    assert (bucket.wait(0.0), bucket.wait(1.0)) == (30.0, 31.0)
    now[0] = 31.0
    assert bucket.wait(1.0) == 0.0
    now[0] = 1e6
    assert bucket.wait(1e9) == 0.0  # more than it ever holds: once it is full
    assert bucket.held == 60.0


def test_each_of_several_workers_has_its_part() -> None:
    key = keys.Key(name="a", sha256="0" * 64, requests_per_minute=60)
    account = keys.Account(key, 1 / 4)
    assert account.requests is not None
    assert account.requests.a_minute == 15


@pytest.mark.usefixtures("given")
def test_the_document_says_so_and_schemathesis_finds_no_way_round() -> None:
    document = application.create().openapi()
    assert set(document["components"]["securitySchemes"]) == {"bearer", "header"}
    for path, operations in document["paths"].items():
        for operation in operations.values():
            assert ("security" in operation) == path.startswith("/v1/")
            assert ({"401", "403", "429"} <= operation["responses"].keys()) == path.startswith("/v1/")
    load_all_checks()
    schema = schemathesis.openapi.from_dict(document)
    schema.app = running_on(application.asgi)  # each call would start the service and end it
    case = schema["/v1/causes"]["GET"].Case(headers={"X-API-Key": "wrong"})
    response = case.call()
    assert response.status_code == 401
    case.validate_response(response, checks=[ignored_auth])


def test_other_origins_are_let_in_by_name_only(client: TestClient) -> None:
    asked = {"origin": "https://forms.example.org", "access-control-request-method": "POST",
             "access-control-request-headers": "content-type, x-api-key"}  # fmt: skip
    assert client.options(WORK, headers=asked).status_code == 405
    open_to = TestClient(application.outermost(application.app, ["https://forms.example.org"]))
    allowed = open_to.options(WORK, headers=asked)
    assert (allowed.status_code, allowed.headers["access-control-allow-origin"]) == (200, asked["origin"])
    assert "access-control-allow-credentials" not in allowed.headers
    assert open_to.options(WORK, headers={**asked, "origin": "https://forms.example.org.evil"}).status_code == 400
    answer = open_to.post(WORK, json={}, headers={"origin": asked["origin"]})
    assert (answer.status_code, answer.headers["access-control-allow-origin"]) == (422, asked["origin"])
    exposed = answer.headers["access-control-expose-headers"].lower()
    assert all(name in exposed for name in ("retry-after", "rows-total", "rows-failed", "rows-notes"))
    assert "access-control-allow-origin" not in open_to.post(WORK, json={}, headers={"origin": "null"}).headers


def test_origins_are_given_exactly() -> None:
    good = "https://a.example.org http://127.0.0.1:8080 http://[::1]:3000"
    assert settings.read({"WITNESSMARK_ORIGINS": good}, {}).origins == good
    for bad in ("*", "https://a.example.org/", "a.example.org", "https://*.example.org", "null"):
        with pytest.raises(SettingError, match="as a browser sends them"):
            settings.read({"WITNESSMARK_ORIGINS": bad}, {})
