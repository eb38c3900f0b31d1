"""What large requests leave behind: nothing, not even after a crash."""

import errno
import fcntl
import tempfile
from pathlib import Path

import pytest

from witnessmark.bulk.spool import LOCK, PREFIX, NoRoomError, Spool, room, sweep


def test_a_folder_is_there_while_it_is_used(tmp_path: Path) -> None:
    kept = Spool(100, tmp_path)
    with kept.folder() as folder:
        with (folder.path / "in").open("wb") as file:
            folder.write(file, b"x" * 60)
        assert kept.used == 60
        with kept.folder() as other, pytest.raises(NoRoomError):
            other.take(41)
        (folder.path / "out").write_bytes(b"x" * 30)
        folder.measure(folder.path / "out")
        assert kept.used == 90
        folder.measure(folder.path / "nothing yet")
    assert (kept.used, list(tmp_path.iterdir())) == (0, [])


def test_it_goes_with_whoever_fails(tmp_path: Path) -> None:
    kept = Spool(100, tmp_path)
    with pytest.raises(NoRoomError), kept.folder() as folder:
        folder.take(101)
    assert (kept.used, list(tmp_path.iterdir())) == (0, [])


@pytest.mark.parametrize("full", ["folder", "lock"])
def test_a_full_disk_is_no_room_and_leaves_nothing(tmp_path: Path, full: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> str:
        raise OSError(errno.ENOSPC, "no space")

    if full == "folder":
        monkeypatch.setattr(tempfile, "mkdtemp", refuse)
    else:
        monkeypatch.setattr(Path, "open", refuse)
    kept = Spool(100, tmp_path, _swept=True)
    with pytest.raises(NoRoomError), kept.folder():
        pytest.fail("there is no room")
    monkeypatch.undo()
    assert (kept.used, list(tmp_path.iterdir())) == (0, [])


def test_other_faults_of_the_disk_are_what_they_are() -> None:
    with pytest.raises(PermissionError), room():
        raise PermissionError(errno.EACCES, "not allowed")


def test_folders_of_a_crash_are_swept_and_those_in_use_are_not(tmp_path: Path) -> None:
    for name in ("crashed", "used", "new"):
        (tmp_path / f"{PREFIX}{name}").mkdir()
    for name in ("crashed", "used"):
        (tmp_path / f"{PREFIX}{name}" / LOCK).touch()
    (tmp_path / "somebody else's").mkdir()
    with (tmp_path / f"{PREFIX}used" / LOCK).open("rb") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        sweep(tmp_path)
    assert {path.name.removeprefix(PREFIX) for path in tmp_path.iterdir()} == {"used", "new", "somebody else's"}
    with Spool(1, tmp_path).folder():
        assert not (tmp_path / f"{PREFIX}used").exists()
