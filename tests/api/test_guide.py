"""GET /guide: what the build put there, and nothing else."""

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from witnessmark.api import guide


@pytest.fixture
def built(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small guide in place of the real one."""
    (tmp_path / "knowledge").mkdir()
    pages = {"index.html": "<p>all", "knowledge/index.html": "<p>below", "search.js": "1;", "made-from.txt": "abc"}
    for name, text in pages.items():
        (tmp_path / name).write_text(text, "utf-8")
    (tmp_path.parent / "outside.html").write_text("<p>not yours", "utf-8")
    monkeypatch.setattr(guide, "FOLDER", tmp_path)
    return tmp_path


@pytest.mark.usefixtures("built")
def test_pages_are_shown_by_their_names(client: TestClient) -> None:
    assert client.get("/guide", follow_redirects=False).headers["location"] == "guide/"
    for address, text in (("", "<p>all"), ("index.html", "<p>all"), ("knowledge/", "<p>below"), ("search.js", "1;")):
        page = client.get(f"/guide/{address}")
        assert (page.status_code, page.text) == (200, text)


@pytest.mark.usefixtures("built")
def test_nothing_inline_runs_and_nothing_is_loaded_from_elsewhere(client: TestClient) -> None:
    policy = client.get("/guide/").headers["content-security-policy"]
    assert "default-src 'none'; script-src 'self'; style-src 'self';" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


@pytest.mark.usefixtures("built")
def test_a_page_need_not_be_fetched_twice(client: TestClient) -> None:
    first = client.get("/guide/index.html")
    again = client.get("/guide/index.html", headers={"if-none-match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


@pytest.mark.usefixtures("built")
@pytest.mark.parametrize(
    "address", ["nothing.html", "made-from.txt", "knowledge", "../outside.html", "..%2foutside.html", "%2fetc%2fpasswd"]
)
def test_what_is_no_page_is_not_there(client: TestClient, address: str) -> None:
    assert client.get(f"/guide/{address}").status_code == 404


def test_where_it_was_not_built_the_answer_says_how(
    client: TestClient, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(guide, "FOLDER", tmp_path / "none")
    answer = client.get("/guide/")
    assert answer.status_code == 404
    assert "make guide" in answer.json()["detail"]
