"""The bill of materials is held against lock and installation, and tells nothing of the machine."""

import json
from importlib.metadata import distributions
from pathlib import Path

import pytest

from tests.bench import notices
from tests.bench.notices import BillError

LOCK = "one==1.0 \\\n    --hash=sha256:00\nTwo_x==2.5 ; sys_platform != 'win32' \\\n    --hash=sha256:00\n"


def bill(**versions: str) -> str:
    return json.dumps({"components": [{"name": name, "version": version} for name, version in versions.items()]})


def installed(folder: Path, name: str, version: str, *more: str, text: str = "") -> None:
    info = folder / f"{name}-{version}.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text("\n".join(["Metadata-Version: 2.4", f"Name: {name}", f"Version: {version}", *more]))
    rows = ["METADATA,,", "RECORD,,"]
    if text:
        (info / "LICENSE").write_text(text)
        rows.append("LICENSE,,")
    (info / "RECORD").write_text("\n".join(f"{info.name}/{row}" for row in rows))


def test_a_whole_one_passes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    packages, out = tmp_path / "packages", tmp_path / "notices.txt"
    installed(packages, "one", "1.0", "License-Expression: MIT", text="Permission is granted")
    installed(packages, "two_x", "2.5", "Classifier: License :: OSI Approved :: BSD License")
    (tmp_path / "bill").write_text(bill(one="1.0", two_x="2.5"))
    (tmp_path / "lock").write_text(LOCK)
    assert notices.main([str(tmp_path / "bill"), str(tmp_path / "lock"), str(packages), str(out)]) == 0
    assert "bill: 2 packages" in capsys.readouterr().out
    said = out.read_text("utf-8")
    assert "one 1.0: MIT" in said
    assert "Permission is granted" in said
    assert "two_x 2.5: BSD License" in said
    (tmp_path / "bill").write_text(bill(one="1.0"))
    assert notices.main([str(tmp_path / "bill"), str(tmp_path / "lock"), str(packages), str(out)]) == 1
    assert "two-x" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (bill(one="1.0"), "not both: two-x"),
        (bill(one="1.0", two_x="2.5", three="1"), "not both: three"),
        (bill(one="1.1", two_x="2.5"), "not as locked: one"),
        (bill(one="1.0", two_x="2.5").replace("components", 'at": "file:///x", "components'), "where it was made"),
    ],
)  # fmt: skip
def test_what_is_not_right_is_named(text: str, said: str) -> None:
    with pytest.raises(BillError, match=said):
        notices.check(text, notices.locked(LOCK), ["one", "two-x"])


def test_a_package_without_a_licence_is_named(tmp_path: Path) -> None:
    installed(tmp_path, "bare", "1.0")
    with pytest.raises(BillError, match="bare"):
        notices.notices(distributions(path=[str(tmp_path)]))
