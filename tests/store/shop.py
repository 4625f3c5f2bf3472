"""A shop folder of its own, its database made, and how to look into it with nothing but standard tools."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from hashlib import sha256
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
READY: dict[str, bytes] = {}


def env(folder: Path) -> dict[str, str]:
    """Where a process of this shop finds its folder."""
    return os.environ | {
        "WHEELTAPPER_FOLDER": str(folder),
        "DJANGO_SETTINGS_MODULE": "wheeltapper.web.settings",
    }


def shop(folder: Path) -> Path:
    """A shop with empty tables; made once and copied."""
    folder.mkdir(parents=True, exist_ok=True)
    database = folder / "shop.sqlite3"
    if "database" not in READY:
        command = [sys.executable, "-m", "django", "migrate", "--verbosity", "0"]
        subprocess.run(command, env=env(folder), check=True, timeout=120)
        with sqlite3.connect(database) as link:
            link.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        link.close()
        READY["database"] = database.read_bytes()
    else:
        database.write_bytes(READY["database"])
    return folder


def writer(folder: Path, *args: str, **more: Any) -> subprocess.Popen[str]:
    """A process that writes entries and says which are confirmed."""
    command = [sys.executable, str(HERE / "writer.py"), *args]
    return subprocess.Popen(command, env=env(folder), stdout=subprocess.PIPE, text=True, **more)


def rows(database: Path) -> list[dict[str, Any]]:
    """All entries, as any reader of SQLite sees them."""
    link = sqlite3.connect(database)
    link.row_factory = sqlite3.Row
    try:
        found = link.execute(
            "SELECT v.number, v.tail, v.entries, e.* FROM store_keptentry e JOIN store_keptvisit v ON v.id = e.visit_id ORDER BY e.visit_id, e.seq"
        ).fetchall()
        assert link.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    finally:
        link.close()
    return [dict(row) for row in found]


def whole(found: list[dict[str, Any]]) -> bool:
    """The chains worked out again with hashlib and json alone, as docs/running-it.md tells a reader to."""
    last: dict[str, tuple[int, str]] = {}
    for row in found:
        start = sha256(f'["visit","{row["number"]}"]'.encode()).hexdigest()
        seq, before = last.get(row["number"], (0, start))
        said = [row[name] for name in ("seq", "entry_id", "at", "received", "by", "device", "kind")]
        said += [json.loads(row["instead_of"]), row["body"], row["before"]]
        text = json.dumps(said, separators=(",", ":"), ensure_ascii=False)
        if (
            row["seq"] != seq + 1
            or row["before"] != before
            or sha256(text.encode()).hexdigest() != row["hash"]
        ):
            return False
        last[row["number"]] = row["seq"], row["hash"]
    return all(last[row["number"]] == (row["entries"], row["tail"]) for row in found)
