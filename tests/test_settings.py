"""What an operator may set, and what is refused."""

from dataclasses import fields
from pathlib import Path

import pytest

from witnessmark.settings import SettingError, Settings, handed_on, read


def test_without_a_word_it_is_as_documented() -> None:
    assert read({}, {}) == Settings()


def test_a_flag_goes_before_the_environment() -> None:
    both = read({"WITNESSMARK_PORT": "9000", "WITNESSMARK_QUEUE_SECONDS": "2.5", "HOME": "/"}, {"port": 8080})
    assert (both.port, both.queue_seconds) == (8080, 2.5)


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("PORT", "0", "whole number from 1 to 65535"),
        ("PORT", "٨", "whole number"),
        ("BODY_SECONDS", "nan", "number from"),
        ("BODY_SECONDS", "1e1", "number from"),
        ("HOST", " ", "every address"),
        ("LOG_LEVEL", "INFO", "give info, warning, error"),
        ("TELEMETRY", "on", "give otlp"),
        ("PROT", "1", "no such setting"),
    ],
)
def test_what_cannot_be_used_is_named(name: str, text: str, said: str) -> None:
    with pytest.raises(SettingError) as refused:
        read({f"WITNESSMARK_{name}": text}, {})
    assert f"WITNESSMARK_{name}" in str(refused.value)
    assert said in str(refused.value)


def test_a_worker_process_reads_the_same() -> None:
    asked = Settings(host="::1", root_path="/w", drain_seconds=2.5)
    assert read(handed_on(asked), {}) == asked


def test_the_page_for_operators_lists_every_setting() -> None:
    page = (Path(__file__).parents[1] / "docs" / "OPERATIONS.md").read_text("utf-8")
    for row in fields(Settings):
        shown = row.default if row.default != "" else "(none)"
        flag, variable = row.name.replace("_", "-"), row.name.upper()
        assert f"| `--{flag}` | `WITNESSMARK_{variable}` | {shown} | {row.metadata['text']} |" in page
