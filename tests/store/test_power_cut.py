"""The power-cut model: whatever was not flushed to the disk is gone, or half of it is; what was confirmed is there.

A writer runs under strace; its writes and flushes are played again on a disk of our own up to many instants. A written byte
is safe when its file was flushed after it, a name when its folder was. Of what is not safe none, all or some by chance is kept.
This holds disks to what they promise; one that lies about flushing is not in the model.
"""

from __future__ import annotations

import os
import random
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path

import pytest

from store.shop import HERE, env, rows, shop, whole

pytestmark = pytest.mark.reasoned
PAGE = 512  # bytes that a disk writes whole
CUTS = 60
CALL = re.compile(r"^(\w+)\((.*)\)\s+= (-?\d+)")
PLACED = re.compile(r"\d+<([^>]*)>")
TEXT = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
WATCHED = "openat,write,pwrite64,fsync,fdatasync,ftruncate,unlink,unlinkat,rename,renameat,renameat2,mkdir,mkdirat,lseek"


@dataclass
class Bytes:
    """A file: as written, as safe, and the pieces written since it was flushed."""

    now: bytearray = field(default_factory=bytearray)
    safe: bytes = b""
    loose: list[tuple[int, bytes]] = field(default_factory=list)

    def write(self, at: int, data: bytes) -> None:
        """Put bytes somewhere."""
        if len(self.now) < at:
            self.now.extend(bytes(at - len(self.now)))
        self.now[at : at + len(data)] = data
        self.loose += [(at + i, data[i : i + PAGE]) for i in range(0, len(data), PAGE)]

    def cut(self, length: int) -> None:
        """Shorten or lengthen it; like a write, it is only safe when flushed."""
        del self.now[length:]
        self.now.extend(bytes(length - len(self.now)))
        self.loose = [(at, data) for at, data in self.loose if at < length]

    def flush(self) -> None:
        """What is written is safe."""
        self.safe, self.loose = bytes(self.now), []

    def after(self, chance: random.Random, share: float) -> bytes:
        """What a power cut leaves: the safe bytes, and some of the loose ones."""
        left = Bytes(bytearray(self.safe))
        for at, data in self.loose:
            if chance.random() < share:
                left.write(at, data)
        return bytes(left.now)


@dataclass
class Disk:
    """Names and what they stand for, as seen and as safe."""

    root: str
    files: dict[str, Bytes] = field(default_factory=dict)
    names: dict[str, Bytes | None] = field(default_factory=dict)  # None: a folder
    safe: dict[str, Bytes | None] = field(default_factory=dict)
    written: dict[str, int] = field(default_factory=dict)  # where the next write goes
    confirmed: list[str] = field(default_factory=list)

    def begin(self) -> None:
        """What lies there before the writer starts is safe."""
        for path in Path(self.root).rglob("*"):
            self.names[str(path)] = (
                None if path.is_dir() else Bytes(bytearray(path.read_bytes()), path.read_bytes())
            )
        self.safe = dict(self.names)

    def play(self, line: str) -> None:
        """One call."""
        match = CALL.match(line)
        if match is None or int(match[3]) < 0:
            return
        name, said, gave = match[1], match[2], int(match[3])
        held = (PLACED.match(said) or [None, ""])[1] or ""
        texts = [bytes.fromhex(t.replace("\\x", "")) for t in TEXT.findall(said)]
        if name in ("write", "pwrite64"):
            self._write(name, held, texts[0][:gave], said)
        elif name in ("fsync", "fdatasync"):
            self._flush(held)
        elif name == "ftruncate" and isinstance(file := self.names.get(held), Bytes):
            file.cut(int(said.rsplit(", ", 1)[1]))
        elif name == "lseek" and held in self.names:
            self.written[held] = gave
        else:
            self._name(name, [t.decode() for t in texts], said)

    def _write(self, name: str, held: str, data: bytes, said: str) -> None:
        if said.startswith("1<") and not held.startswith(self.root):
            self.confirmed += [w for w in data.decode().split("\n") if w]
            return
        file = self.names.get(held)
        if not isinstance(file, Bytes):
            return
        at = int(said.rsplit(", ", 1)[1]) if name == "pwrite64" else self.written.get(held, 0)
        file.write(at, data)
        if name == "write":
            self.written[held] = at + len(data)

    def _flush(self, held: str) -> None:
        file = self.names.get(held)
        if isinstance(file, Bytes):
            file.flush()
            return
        inside = {n for n in (*self.names, *self.safe) if os.path.dirname(n) == held}
        for name in inside:
            if name in self.names:
                self.safe[name] = self.names[name]
            else:
                self.safe.pop(name, None)

    def _name(self, name: str, paths: list[str], said: str) -> None:
        if not paths or not paths[-1].startswith(self.root):
            return
        if name.startswith("mkdir"):
            self.names.setdefault(paths[0], None)
        elif name.startswith("rename"):
            self.names[paths[1]] = self.names.pop(paths[0])
        elif name.startswith("unlink"):
            self.names.pop(paths[0], None)
        elif name == "openat":
            if "O_TRUNC" in said and isinstance(file := self.names.get(paths[0]), Bytes):
                file.cut(0)
            if "O_CREAT" in said:
                self.names.setdefault(paths[0], Bytes())
            self.written[paths[0]] = 0

    def left(self, folder: Path, chance: random.Random, share: float) -> None:
        """Write what a power cut leaves now into a folder."""
        for name, file in sorted(self.safe.items()):
            at = folder / os.path.relpath(name, self.root)
            if not at.parent.is_dir() or name.endswith("-shm"):  # the shared memory is made anew
                continue
            if file is None:
                at.mkdir(exist_ok=True)
            else:
                at.write_bytes(file.after(chance, share))


def traced(folder: Path, log: Path) -> Iterator[str]:
    """What the writer asked of the system, call by call."""
    if shutil.which("strace") is None:
        pytest.skip("strace is not installed: sudo apt install strace")
    watch = [
        "strace",
        "-y",
        "-xx",
        "-s",
        "200000",
        "-e",
        f"trace={WATCHED}",
        "-e",
        "signal=none",
        "-o",
        str(log),
    ]
    writer = [sys.executable, str(HERE / "writer.py"), "pc", "14", "0", "3"]
    done = subprocess.run(
        [*watch, *writer], env=env(folder), capture_output=True, text=True, timeout=180, check=False
    )
    if "ptrace" in done.stderr.lower():
        pytest.skip("this machine lets nobody trace a process")
    assert done.returncode == 0, done.stderr
    yield from (_plain(line) for line in log.read_text("ascii").splitlines())


def _plain(line: str) -> str:
    """The names of open files are written in hex, too."""
    return re.sub(
        r"<((?:\\x[0-9a-f]{2})+)>",
        lambda m: f"<{bytes.fromhex(m[1].replace(chr(92) + 'x', '')).decode()}>",
        line,
    )


def test_what_was_confirmed_survives_any_cut(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop")
    disk = Disk(str(folder))
    disk.begin()
    calls = list(traced(folder, tmp_path / "log"))
    changing = [i for i, line in enumerate(calls) if str(folder) in line and not line.startswith("lseek")]
    chance = random.Random(11)
    cuts = set(chance.sample(changing, min(CUTS, len(changing)))) | {len(calls) - 1}
    assert len(cuts) >= 50
    for i, line in enumerate(calls):
        disk.play(line)
        if i in cuts:
            for share in (0.0, 0.5, 1.0):
                image = tmp_path / f"cut-{i}-{share}"
                image.mkdir()
                disk.left(image, chance, share)
                _holds(image, disk.confirmed)
                shutil.rmtree(image)
    assert len(disk.confirmed) == 17
    assert _bytes(folder / "shop.sqlite3") == bytes(disk.names[str(folder / "shop.sqlite3")].now)  # type: ignore[union-attr]


def _bytes(path: Path) -> bytes:
    return path.read_bytes()


def _holds(image: Path, confirmed: list[str]) -> None:
    """The database is sound, the chain whole, every confirmed entry there, and every photo that an entry names."""
    kept = rows(image / "shop.sqlite3")
    assert {row["entry_id"] for row in kept} >= set(confirmed)
    assert whole(kept)
    for name in (re.search(r'"sha256":"(\w+)"', row["body"]) for row in kept if row["kind"] == "photo"):
        assert name is not None
        photo = image / "originals" / name[1][:2] / f"{name[1]}.jpg"
        assert sha256(photo.read_bytes()).hexdigest() == name[1]
