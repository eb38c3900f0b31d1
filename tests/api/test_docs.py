import re

from starlette.testclient import TestClient

from witnessmark.api.app import app
from witnessmark.api.problems import KINDS


def test_the_reference_asks_nothing_of_another_host(client: TestClient) -> None:
    page = client.get("/docs")
    assert page.status_code == 200
    addresses = re.findall(r'(?:src|href)="([^"]+)"', page.text)
    assert addresses
    assert not re.findall(r"//[a-z]", page.text)
    for address in addresses:
        assert address.startswith("/docs/")
        asset = client.get(address)
        assert (asset.status_code, bool(asset.content)) == (200, True)
    assert "default-src 'none'; script-src 'self';" in page.headers["content-security-policy"]


def test_the_root_points_to_the_reference_and_the_document(client: TestClient) -> None:
    answer = client.get("/")
    assert answer.status_code == 200
    for address in (answer.json()["reference"], answer.json()["document"]):
        assert client.get(address).status_code == 200
    assert "/" not in app.openapi()["paths"]


def test_the_assets_load_nothing_remote(client: TestClient) -> None:
    style = client.get("/docs/swagger-ui.css").text
    assert not re.findall(r"url\(['\"]?https?://", style)
    assert not re.findall(r"@import", style)
    assert "https://" not in client.get("/docs/start.js").text
    script = client.get("/docs/swagger-ui-bundle.js").text
    assert not re.findall(r"(?:importScripts|import)\(['\"]https?://", script)


def test_swagger_ui_is_new_enough_for_openapi_3_1(client: TestClient) -> None:
    # Swagger UI reads OpenAPI 3.1 from version 5.0.0 on (its release notes of 2023-06)
    script = client.get("/docs/swagger-ui-bundle.js").text
    versions = re.findall(r'PACKAGE_VERSION:"(\d+)\.', script) or re.findall(r'version:"?(5)\.\d+\.\d+', script)
    assert versions
    assert int(versions[0]) >= 5


def test_the_document_is_the_golden_one_and_need_not_be_fetched_twice(client: TestClient) -> None:
    first = client.get("/openapi.json")
    assert first.json() == app.openapi()
    again = client.get("/openapi.json", headers={"if-none-match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_there_is_no_other_asset(client: TestClient) -> None:
    assert client.get("/docs/..%2f..%2fapp.py").status_code == 404
    assert client.get("/docs/secret.js").status_code == 404


def test_every_kind_of_problem_has_its_page(client: TestClient) -> None:
    for slug, kind in KINDS.items():
        page = client.get(f"/problems/{slug}")
        assert page.status_code == 200
        assert kind.text in page.text
    assert client.get("/problems/nothing").status_code == 404
