"""A shop in one file, and back: the database as it stood at one instant, every photo and sound, the shop's own tables.

The keys of the server stay behind: a shop that was restored makes new ones, people sign in again, and phones fetch the
certificate again. A backup lists every visit's tail, so that it also shows what was changed in the shop after it.
"""

from __future__ import annotations

import json
import os
import sqlite3
import zipfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from wheeltapper.problems import Problem

DATABASE, LIST = "shop.sqlite3", "list.json"
ROOMS = (
    "originals",
    "house",
    "good-drums",
)  # folders that are kept; pictures made of originals are made again
FORM = 1
PIECE = 1 << 20
MOST_LIST = 200_000_000


@dataclass(frozen=True)
class Told:
    """What a backup holds."""

    visits: int
    files: int
    bytes: int


def back_up(folder: Path, out: Path) -> Told | Problem:
    """Write a shop into one file; an unfinished one never has its name."""
    if not (folder / DATABASE).is_file():
        return Problem(str(folder), "there is no shop in it", "name the shop's folder with --folder.")
    if out.exists():
        return Problem(str(out), "it is there already", "name another file: a backup is never written over.")
    part = out.with_name(out.name + ".part")
    try:
        told = _written(folder, part)
        if isinstance(told, Told):
            part.replace(out)
    except (OSError, sqlite3.Error) as slip:
        told = Problem(
            str(out), f"it could not be written: {slip}", "make room, or name another place, and try again."
        )
    part.unlink(missing_ok=True)
    return told


def _written(folder: Path, part: Path) -> Told | Problem:
    with TemporaryDirectory(dir=part.parent) as beside, part.open("wb") as file:
        copy = Path(beside) / DATABASE
        _copied(folder / DATABASE, copy)
        with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED, allowZip64=True) as pack:
            files = {DATABASE: _packed(pack, copy, DATABASE)}
            wanted = _originals(copy)
            for path in _in_rooms(folder):
                name = path.relative_to(folder).as_posix()
                if not name.startswith("originals/") or path.name in wanted:
                    files[name] = _packed(pack, path, name)
            lost = _lost(wanted, files)
            if lost:
                return lost
            visits = _tails(copy)
            said = {"form": FORM, "visits": visits, "files": files}
            pack.writestr(LIST, json.dumps(said, indent=1, sort_keys=True))
        file.flush()
        os.fsync(file.fileno())
    return Told(len(visits), len(files), sum(f["bytes"] for f in files.values()))


def _copied(database: Path, copy: Path) -> None:
    """The database as it stands at one instant, while others go on writing."""
    with closing(_read_only(database)) as here, closing(sqlite3.connect(copy)) as there:
        here.backup(there)


def _read_only(database: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{database.resolve().as_uri()}?mode=ro", uri=True, timeout=20)


def _originals(database: Path) -> dict[str, str]:
    """Each original's file name, and the hash that it must have."""
    with closing(sqlite3.connect(database)) as link:
        return {
            f"{sha}.{ending}": sha
            for sha, ending in link.execute("SELECT sha256, ending FROM store_original")
        }


def _tails(database: Path) -> dict[str, list[Any]]:
    with closing(sqlite3.connect(database)) as link:
        rows = link.execute("SELECT number, entries, tail FROM store_keptvisit ORDER BY number")
        return {number: [entries, tail] for number, entries, tail in rows}


def _in_rooms(folder: Path) -> Iterator[Path]:
    for room in ROOMS:
        yield from (p for p in sorted((folder / room).rglob("*")) if p.is_file() and p.suffix != ".part")


def _packed(pack: zipfile.ZipFile, path: Path, name: str) -> dict[str, Any]:
    """A file into the pack, with its length and hash as it was read."""
    summed, length = sha256(), 0
    with path.open("rb") as file, pack.open(name, "w", force_zip64=True) as into:
        while piece := file.read(PIECE):
            summed.update(piece)
            length += len(piece)
            into.write(piece)
    return {"sha256": summed.hexdigest(), "bytes": length}


def _lost(wanted: dict[str, str], files: dict[str, dict[str, Any]]) -> Problem | None:
    """A backup that lacks a photo is none, and must not be taken for one."""
    there = {Path(name).name: said["sha256"] for name, said in files.items() if name.startswith("originals/")}
    bad = [name for name, sha in wanted.items() if there.get(name) != sha]
    if not bad:
        return None
    what = f"{len(bad)} photos or sounds are missing or changed, the first is {bad[0][:16]}"
    return Problem("originals", what, "run `wheeltapper verify`, and restore them from an older backup.")


def restore(file: Path, folder: Path) -> Told | Problem:
    """Unpack a shop into a folder that is empty; every byte is held against the backup's list."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        return Problem(str(folder), "it is not empty", "name a new folder: a shop is never written over.")
    try:
        with zipfile.ZipFile(file) as pack:
            said = _list(pack)
            if isinstance(said, Problem):
                return said
            folder.mkdir(parents=True, exist_ok=True)
            return _unpacked(pack, said, folder)
    except (OSError, zipfile.BadZipFile, EOFError, RuntimeError) as slip:
        return Problem(
            str(file), f"it cannot be unpacked: {slip}", "take an older backup, into another folder."
        )


def _list(pack: zipfile.ZipFile) -> dict[str, Any] | Problem:
    """What the backup says it holds; a name that leads out of the folder is no backup of ours."""
    no_backup = Problem(
        str(pack.filename), "it is no backup of a shop", "name a file that `wheeltapper backup` wrote."
    )
    names = pack.namelist()
    if LIST not in names or pack.getinfo(LIST).file_size > MOST_LIST:
        return no_backup
    try:
        said: dict[str, Any] = json.loads(pack.read(LIST))
        files = said["files"]
        fine = said["form"] == FORM and sorted([*files, LIST]) == sorted(names) and DATABASE in files
        fine = fine and all(name == DATABASE or _inside(name) for name in files)
    except (ValueError, KeyError, TypeError):
        return no_backup
    return said if fine else no_backup


def _inside(name: str) -> bool:
    steps = name.split("/")
    return (
        steps[0] in ROOMS
        and len(steps) > 1
        and not any(s in ("", ".", "..") or "\\" in s or ":" in s for s in steps)
    )


def _unpacked(pack: zipfile.ZipFile, said: dict[str, Any], folder: Path) -> Told | Problem:
    for name, known in said["files"].items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if _taken_out(pack, name, path) != (known["sha256"], known["bytes"]):
            return Problem(
                name, "its bytes are not those that were packed", "take an older backup, into another folder."
            )
    if _tails(folder / DATABASE) != said["visits"]:
        return Problem(
            DATABASE, "its visits are not those of the list", "take an older backup, into another folder."
        )
    return Told(len(said["visits"]), len(said["files"]), sum(f["bytes"] for f in said["files"].values()))


def _taken_out(pack: zipfile.ZipFile, name: str, path: Path) -> tuple[str, int]:
    summed, length = sha256(), 0
    with pack.open(name) as file, path.open("xb") as out:
        while piece := file.read(PIECE):
            summed.update(piece)
            length += len(piece)
            out.write(piece)
        out.flush()
        os.fsync(out.fileno())
    return summed.hexdigest(), length


def cut_since(file: Path, database: Path) -> Iterator[Problem]:
    """Visits of a backup that are shorter now, or whose entries up to then are others: a chain that was made anew shows here."""
    with zipfile.ZipFile(file) as pack:
        said = _list(pack)
    if isinstance(said, Problem):
        yield said
        return
    with closing(_read_only(database)) as link:
        for number, (entries, tail) in said["visits"].items():
            found = link.execute(
                "SELECT e.hash FROM store_keptentry e JOIN store_keptvisit v ON v.id = e.visit_id WHERE v.number = ? AND e.seq = ?",
                (number, entries),
            ).fetchone()
            if entries and (found is None or found[0] != tail):
                what = f"its first {entries} entries are not those of the backup"
                yield Problem(
                    f"visit {number}", what, "restore that backup into another folder, and compare the two."
                )
