"""A shop in one file and back: whole, or one sentence; never over another shop, never out of its folder."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
import zipfile
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from store.shop import rows, shop, whole, writer
from wheeltapper.problems import Problem
from wheeltapper.store.backup import Told, back_up, cut_since, restore

pytestmark = pytest.mark.reasoned


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop with entries and photos, and what does not belong into a backup."""
    folder = shop(tmp_path_factory.mktemp("shop") / "shop")
    wrote(folder, "b", "5", "0", "3")
    (folder / "house").mkdir()
    (folder / "house" / "house.toml").write_text("name = 'ours'")
    photo = next((folder / "originals").rglob("*.jpg"))
    photo.with_suffix(".small.jpg").write_bytes(b"made of it")
    (folder / "originals" / "x.part").write_bytes(b"half")
    (folder / "secret.key").write_text("secret")
    return folder


def wrote(*words: Any) -> None:
    """Entries and photos, by a process that ends."""
    process = writer(*words)
    process.communicate(timeout=60)
    assert process.returncode == 0


def run(*words: object) -> subprocess.CompletedProcess[str]:
    """The command, in a process of its own."""
    command = [sys.executable, "-c", "from wheeltapper.cli import main; main()", *map(str, words)]
    plain = {k: v for k, v in os.environ.items() if not k.startswith(("WHEELTAPPER", "DJANGO"))}
    return subprocess.run(command, capture_output=True, text=True, timeout=120, env=plain, check=False)


def packed(full: Path, tmp_path: Path) -> Path:
    """A backup of it."""
    told = back_up(full, tmp_path / "b.zip")
    assert isinstance(told, Told), told
    return tmp_path / "b.zip"


def again(file: Path, out: Path, name: str, data: bytes | None, also: str = "") -> Path:
    """The same backup with one file changed, left out or added."""
    with zipfile.ZipFile(file) as old, zipfile.ZipFile(out, "w") as new:
        for known in old.namelist():
            if known != name:
                new.writestr(known, old.read(known))
            elif data is not None:
                new.writestr(known, data)
        if also:
            new.writestr(also, b"x")
    return out


def test_there_and_back_by_the_commands(full: Path, tmp_path: Path) -> None:
    out, back = tmp_path / "b.zip", tmp_path / "new" / "shop"
    done = run("backup", out, "--folder", full)
    assert (done.returncode, done.stderr) == (0, "")
    assert "1 visits, 5 files" in done.stdout  # database, table, three photos
    done = run("restore", out, "--folder", back)
    assert (done.returncode, done.stderr) == (0, "")
    assert "every chain holds" in done.stdout
    assert rows(back / "shop.sqlite3") == rows(full / "shop.sqlite3")
    assert (back / "secret.key").read_text("utf-8") != "secret"
    kept = {
        p.relative_to(full) for p in full.rglob("*") if p.suffixes[:1] == [".jpg"] or p.name == "house.toml"
    }
    assert len(kept) == 4
    assert all((back / p).read_bytes() == (full / p).read_bytes() for p in kept)
    assert not list(back.rglob("*.small.jpg"))
    done = run("verify", "--folder", back, "--against", out)
    assert (done.returncode, "3 photos and sounds checked: all whole" in done.stdout) == (0, True)


def test_taken_while_others_write(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop")
    at_work = writer(folder, "w", "100000", "0")
    assert at_work.stdout is not None
    confirmed = {at_work.stdout.readline().strip() for _ in range(5)}
    file = packed(folder, tmp_path)
    at_work.kill()
    at_work.communicate()
    assert isinstance(restore(file, tmp_path / "back"), Told)
    found = rows(tmp_path / "back" / "shop.sqlite3")
    assert confirmed <= {r["entry_id"] for r in found}
    assert whole(found)


def test_never_written_over(full: Path, tmp_path: Path) -> None:
    file = packed(full, tmp_path)
    slip = back_up(full, file)
    assert isinstance(slip, Problem)
    assert "already" in slip.what
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / "x").write_text("x")
    slip = restore(file, tmp_path / "taken")
    assert isinstance(slip, Problem)
    assert "not empty" in slip.what
    assert [p.name for p in (tmp_path / "taken").iterdir()] == ["x"]
    (tmp_path / "empty").mkdir()
    assert isinstance(restore(file, tmp_path / "empty"), Told)


def test_no_shop_no_backup(tmp_path: Path) -> None:
    done = run("backup", tmp_path / "b.zip", "--folder", tmp_path / "nothing")
    assert (done.returncode, "there is no shop in it" in done.stderr) == (1, True)
    assert not (tmp_path / "nothing").exists()
    assert not list(tmp_path.glob("b.zip*"))


@pytest.mark.parametrize("how", ["gone", "changed"])
def test_a_lost_photo_is_told_and_no_backup_is_made(tmp_path: Path, how: str) -> None:
    folder = shop(tmp_path / "shop")
    wrote(folder, "b", "0", "0", "2")
    photo = next((folder / "originals").rglob("*.jpg"))
    photo.unlink() if how == "gone" else photo.write_bytes(b"\xff\xd8\xff other")
    slip = back_up(folder, tmp_path / "b.zip")
    assert isinstance(slip, Problem)
    assert "1 photos or sounds are missing or changed" in slip.what
    assert not list(tmp_path.glob("*.zip*"))


@pytest.mark.parametrize("what", ["photo", "database", "missing", "more", "out", "list", "text", "short"])
def test_a_damaged_backup_is_refused(full: Path, tmp_path: Path, what: str) -> None:
    file, bad = packed(full, tmp_path), tmp_path / "bad.zip"
    with zipfile.ZipFile(file) as pack:
        names, said = pack.namelist(), json.loads(pack.read("list.json"))
    photo = next(n for n in names if n.endswith(".jpg"))
    if what == "photo":
        again(file, bad, photo, b"\xff\xd8\xff")
    elif what == "database":
        again(file, bad, "shop.sqlite3", b"")
    elif what == "missing":
        again(file, bad, photo, None)
    elif what == "more":
        again(file, bad, "", None, "originals/zz/x.jpg")
    elif what == "out":
        said["files"]["originals/../../evil"] = {"sha256": "0" * 64, "bytes": 1}
        again(file, bad, "list.json", json.dumps(said).encode(), "originals/../../evil")
    elif what == "list":
        again(file, bad, "list.json", b"[]")
    else:
        bad.write_bytes(b"text" if what == "text" else file.read_bytes()[:-3000])
    slip = restore(bad, tmp_path / "in" / "back")
    assert isinstance(slip, Problem), what
    assert slip.do
    assert not (tmp_path / "in" / "evil").exists()
    assert not (tmp_path / "evil").exists()


def test_a_tail_cut_off_and_a_chain_made_anew_show_against_the_backup(full: Path, tmp_path: Path) -> None:
    file = packed(full, tmp_path)
    assert not list(cut_since(file, full / "shop.sqlite3"))
    for n, change in enumerate(
        ("DELETE FROM store_keptentry WHERE seq = 8", "UPDATE store_keptentry SET hash = 'x' WHERE seq = 8")
    ):
        copy = tmp_path / f"copy{n}.sqlite3"
        copy.write_bytes((full / "shop.sqlite3").read_bytes())
        with closing(sqlite3.connect(copy)) as link:
            for trigger in ("keptentry_never_changed", "keptentry_never_deleted"):
                link.execute(f"DROP TRIGGER {trigger}")
            link.execute(change)
            link.commit()
        (fault,) = cut_since(file, copy)
        assert "first 8 entries" in fault.what


def test_what_was_restored_goes_on(full: Path, tmp_path: Path) -> None:
    assert isinstance(restore(packed(full, tmp_path), tmp_path / "back"), Told)
    wrote(tmp_path / "back", "more", "2", "0")
    found = rows(tmp_path / "back" / "shop.sqlite3")
    assert (len(found), whole(found)) == (10, True)
