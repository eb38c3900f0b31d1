"""The guide as it is built: every link resolves, nothing points outside, nothing is inline, and the search finds."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urldefrag

import pytest
from docs.guide import build

from witnessmark.diagnosis.catalogue.knowledge import knowledge

HERE = re.compile(r"^(?!data:,$)[a-z]+:|^//")
"""An address with a scheme or a host; the empty picture that keeps browsers from asking for one is none."""


class Page(HTMLParser):
    """Links, places, and whatever is written into the page that a strict policy would not run."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.places: set[str] = set()
        self.inline: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.links += [value for name in ("href", "src", "action") if (value := given.get(name)) is not None]
        self.places |= {value for name in ("id", "name") if (value := given.get(name))}
        self.inline += [name for name in given if name == "style" or name.startswith("on")]
        if tag == "style" or (tag == "script" and "src" not in given):
            self.inline.append(tag)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The guide, built here and now without a network."""
    made = tmp_path_factory.mktemp("guide") / "made"
    build.build(made)
    return made


@pytest.fixture(scope="module")
def pages(folder: Path) -> dict[str, Page]:
    found = folder.rglob("*.html")
    return {path.relative_to(folder).as_posix(): Page(path.read_text("utf-8")) for path in found}


def leading_nowhere(folder: Path, pages: dict[str, Page]) -> Iterator[tuple[str, str]]:
    for name, page in pages.items():
        for link in page.links:
            address, place = urldefrag(link)
            target = (folder / name).parent / unquote(address) if address else folder / name
            inside = target.resolve()
            known = pages.get(inside.relative_to(folder).as_posix()) if inside.is_relative_to(folder) else None
            if link != "data:," and (not inside.is_file() or (place and (known is None or place not in known.places))):
                yield name, link


@pytest.mark.slow
def test_every_link_leads_to_a_place_inside(folder: Path, pages: dict[str, Page]) -> None:
    assert len(pages) > 90
    assert sum(len(page.links) for page in pages.values()) > 3000
    assert list(leading_nowhere(folder, pages)) == []
    assert {link for page in pages.values() for link in page.links if HERE.search(link)} == set()


@pytest.mark.slow
def test_nothing_is_written_into_a_page_that_the_policy_forbids(pages: dict[str, Page]) -> None:
    assert {name: page.inline for name, page in pages.items() if page.inline} == {}


@pytest.mark.slow
def test_styles_and_scripts_load_nothing_remote(folder: Path) -> None:
    for path in (*folder.rglob("*.css"), *folder.rglob("*.js")):
        text = path.read_text("utf-8")
        assert not re.search(r"@import|url\(\s*['\"]?(https?:)?//", text), path
        assert not re.search(r"(fetch|import|importScripts|src\s*=)\s*\(?\s*['\"`]https?://", text), path


@pytest.mark.slow
def test_what_it_must_hold_is_there_and_the_search_knows_it(folder: Path, pages: dict[str, Page]) -> None:
    hand_written = {path.stem for path in (build.ROOT / "docs" / "guide" / "pages").glob("*.md")}
    assert {f"{name}.html" for name in hand_written} <= set(pages)
    known = knowledge()
    wanted = {f"knowledge/mode-{key}.html" for key in known.modes} | {
        f"knowledge/cause-{key}.html" for key in known.causes
    }
    assert wanted <= set(pages)
    index = (folder / "searchindex.js").read_text("utf-8")
    assert all(mode.name in index for mode in known.modes.values())
    assert "floodback" in index


@pytest.mark.slow
def test_what_is_there_and_up_to_date_is_left_alone(folder: Path) -> None:
    note, page = folder / build.MADE_FROM, folder / "index.html"
    before = page.stat().st_mtime_ns
    build.build(folder)
    assert page.stat().st_mtime_ns == before
    assert re.fullmatch("[0-9a-f]{64}", note.read_text("utf-8"))


def test_links_out_of_the_guide_become_words() -> None:
    assert (
        build.inside("see [that](../x.md), ![a picture](p.svg) and [below](#y)")
        == "see that, a picture and [below](#y)"
    )
