"""One visit in one zip that opens without the product: sheet, originals, entries with their chain, a page to read, how to verify.

The same record, tables and foretold wear give the same bytes: files in one order, stored and not squeezed, all with the same date. The visit is examined
as on the shop's day of its last entry.
"""

from __future__ import annotations

import json
import os
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date as Date
from datetime import datetime
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path

from django.utils.timezone import localdate

from wheeltapper.flow import examine
from wheeltapper.plan.foresight import Foresight
from wheeltapper.problems import Problem
from wheeltapper.reference.tables import Tables
from wheeltapper.report import reader
from wheeltapper.report.reader import Picture, Told
from wheeltapper.report.sheet import Sheet
from wheeltapper.store import checking, find, outlook
from wheeltapper.store.chain import Link, broken, canonical
from wheeltapper.store.entries import Entry
from wheeltapper.store.files import fault_of, path_of
from wheeltapper.store.fold import Folded, fold
from wheeltapper.store.models import KeptVisit, Original
from wheeltapper.store.outward import outward
from wheeltapper.store.paper import about, paper_of, sheet_of

HERE = Path(__file__).parent
THE_SAME_DAY = (1980, 1, 1, 0, 0, 0)  # the first that a zip can write
AS_THEY_CAME = "every photo and sound as it came, called by its SHA-256. A phone may have written into them where and when they were taken"
LEFT_OUT = "left out of this pack"


@dataclass(frozen=True)
class Packed:
    """What a pack holds."""

    entries: int
    originals: int
    bytes: int


def pack(visit: KeptVisit, out: Path, tables: Tables, with_originals: bool = True) -> Packed | Problem:
    """Write a visit's proof pack.

    Args:
        visit: the visit.
        out: the zip; one that is there is never written over.
        tables: the shop's.
        with_originals: photos and sounds as they came; without them the pack carries no place and no time of a photo.
    """
    if out.exists():
        return Problem(str(out), "it is there already", "name another file: a pack is never written over.")
    links = list(find.links(visit))
    fault = broken(visit.number, links, visit.tail, visit.entries)
    if fault:
        return fault
    entries = tuple(map(find.entry_of, links))
    folded = fold(entries)
    if folded.visit is None:
        return Problem(
            visit.number, "nobody said yet which trailer it is", "enter that at the gate, then export it."
        )
    on = _day_of(links[-1])
    seen = outlook.foretold(visit, folded.visit, tables, next(iter(outlook.pools()), None))
    made = sheet_of(visit, folded, examine(folded.visit, tables, on, folded.problems, seen))
    named = _originals(entries)
    lost = next((f for f in map(fault_of, named.values()) if f), None)
    if lost:
        return lost
    part = out.with_name(out.name + ".part")
    try:
        told = _written(part, _files(visit, links, folded, made, named, with_originals, seen))
        part.replace(out)
    except OSError as slip:
        return Problem(
            str(out), f"it could not be written: {slip}", "make room, or name another place, and try again."
        )
    finally:
        part.unlink(missing_ok=True)
    return Packed(len(links), len(named) if with_originals else 0, told)


def _day_of(link: Link) -> Date:
    """The shop's own day on which an entry came: a visit's date is one of the shop's days, the clock of an entry is UTC."""
    return localdate(datetime.fromisoformat(link.received))


def _originals(entries: Iterable[Entry]) -> dict[str, Original]:
    """Every photo and sound that any entry names, also one that no longer stands."""
    shas = {e.body["sha256"] for e in entries if e.kind in ("photo", "sound")}
    return {o.sha256: o for o in Original.objects.filter(sha256__in=shas).order_by("sha256")}


def _files(
    visit: KeptVisit, links: list[Link], folded: Folded, made: Sheet, named: dict[str, Original], with_originals: bool,
    seen: Foresight | None,
) -> Iterator[tuple[str, bytes | Path]]:  # fmt: skip
    assert made.kept is not None
    last = made.kept.last
    yield "how-to-verify.txt", _how(visit.number, last, with_originals)
    yield "sheet.pdf", paper_of(made)
    shown = {sha: path for sha, o in named.items() if isinstance(path := outward(o, "clean"), Path)}
    originals = {sha: f"originals/{sha}.{o.ending}" for sha, o in named.items()} if with_originals else {}
    yield "reader.html", _page(links, folded, made, set(shown), originals).encode()
    yield checking.ENTRIES, b"".join(line_of(link) + b"\n" for link in links)
    said = {
        "visit": visit.number, "unit": made.unit, "entries": len(links), "last": last, "tables": made.fingerprint,
        "wear_ahead": seen.fingerprint if seen else None,
        "examined_on": _day_of(links[-1]).isoformat(), "originals": "as they came" if with_originals else "left out",
        "made_by": f"wheeltapper {version('wheeltapper')}",
    }  # fmt: skip
    if seen is not None:
        yield "wear-ahead.json", seen.text.encode()
    yield checking.ABOUT, (json.dumps(said, indent=1, sort_keys=True, ensure_ascii=False) + "\n").encode()
    yield "verify.py", (HERE / "checking.py").read_bytes()
    yield from ((f"photos/{sha[:16]}.jpg", path) for sha, path in shown.items())
    yield from ((name, path_of(named[sha])) for sha, name in originals.items())


def line_of(link: Link) -> bytes:
    """An entry as a line of the pack: word for word what its hash is the SHA-256 of."""
    row = [link.seq, link.id, link.at, link.received, link.by, link.device, link.kind, list(link.instead_of), link.body, link.before]  # fmt: skip
    return canonical(row).encode()


def _how(number: str, last: str, with_originals: bool) -> bytes:
    text = (HERE / "how-to-verify.txt").read_text("utf-8")
    said = {"{visit}": number, "{last}": last, "{originals}": AS_THEY_CAME if with_originals else LEFT_OUT}
    for mark, value in said.items():
        text = text.replace(mark, value)
    return text.encode()


def _page(links: list[Link], folded: Folded, made: Sheet, shown: set[str], originals: dict[str, str]) -> str:
    stand = {e.id for e in folded.standing}
    instead = {gone: link.seq for link in links for gone in link.instead_of}
    told = [_told(link, stand, instead) for link in links]
    pictures = [
        Picture(
            of, f"photos/{of.sha256[:16]}.jpg" if of.sha256 in shown else "", originals.get(of.sha256, "")
        )
        for of in (about(find.entry_of(link)) for link in links if link.kind in ("photo", "sound"))
    ]
    return reader.page(made, told, pictures)


def _told(link: Link, stand: set[str], instead: dict[str, int]) -> Told:
    note = ""
    if link.id not in stand:
        note = f"entry {instead[link.id]} stands instead" if link.id in instead else "it counts no more"
    if link.kind == "withdraw":
        note = ""
    lines = reader.lines_of(json.loads(link.body))
    when = f"{link.received[:10]} {link.received[11:19]} UTC"
    return Told(link.seq, when, link.by, link.kind, lines, note, link.hash)


def _written(part: Path, files: Iterable[tuple[str, bytes | Path]]) -> int:
    """The zip, flushed; how many bytes it has."""
    summed: dict[str, str] = {}
    with part.open("wb") as file:
        with zipfile.ZipFile(file, "w", zipfile.ZIP_STORED) as held:
            for name, data in files:
                read = data if isinstance(data, bytes) else data.read_bytes()
                summed[name] = sha256(read).hexdigest()
                held.writestr(_entry(name), read)
            lines = "".join(f"{said}  {name}\n" for name, said in summed.items())
            held.writestr(_entry(checking.SUMS), lines)
        file.flush()
        os.fsync(file.fileno())
    return part.stat().st_size


def _entry(name: str) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, THE_SAME_DAY)
    info.external_attr = 0o644 << 16
    info.create_system = 3
    return info
