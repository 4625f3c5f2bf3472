"""Checks a proof pack with Python's standard library alone: python3 verify.py, or python3 verify.py PACK.zip.

A copy of this file lies in every pack as verify.py. It looks at every byte: the list of files, the chain of entries, the
photos and sounds that entries name. It needs nothing else and changes nothing. how-to-verify.txt says how to do the same
without it.
"""

import json
import sys
import zipfile
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

SUMS, ENTRIES, ABOUT, ORIGINALS = "SHA256SUMS", "entries.jsonl", "visit.json", "originals/"
FIELDS = ("seq", "id", "at", "received", "by", "device", "kind", "instead_of", "body", "before")
Files = dict[str, bytes]


def files_of(pack: Path) -> Files:
    """Every file of a pack by its name: of a zip, or of the folder it was unpacked into."""
    if pack.is_dir():
        there = sorted(p for p in pack.rglob("*") if p.is_file() and "__pycache__" not in p.parts)
        return {p.relative_to(pack).as_posix(): p.read_bytes() for p in there}
    with zipfile.ZipFile(pack) as held:
        if len(set(held.namelist())) < len(held.namelist()):
            raise zipfile.BadZipFile("a name stands in it twice")
        return {name: held.read(name) for name in held.namelist() if not name.endswith("/")}


def faults(files: Files) -> Iterator[str]:
    """Everything that does not hold, a sentence each."""
    missing = [name for name in (SUMS, ENTRIES, ABOUT) if name not in files]
    yield from (f"{name} is missing" for name in missing)
    if missing:
        return
    yield from sums(files)
    yield from chain(files)
    yield from originals(files)


def sums(files: Files) -> Iterator[str]:
    """Files that are not as the list has them, that it does not have, or that are gone."""
    listed = {}
    for line in files[SUMS].decode("utf-8", "replace").splitlines():
        said, _, name = line.partition("  ")
        listed[name] = said
    for name, said in listed.items():
        if name not in files:
            yield f"{name} is missing"
        elif sha256(files[name]).hexdigest() != said:
            yield f"{name} is not the file that was packed"
    yield from (f"{name} is not on the list" for name in files if name not in listed and name != SUMS)


def chain(files: Files) -> Iterator[str]:
    """The first entry that does not follow the one before it."""
    about = said(files)
    before = sha256(canonical(["visit", about.get("visit")])).hexdigest()
    lines = files[ENTRIES].split(b"\n")[:-1]
    for place, line in enumerate(lines, 1):
        link = link_of(line)
        if link.get("seq") != place:
            yield f"entry {place} is not in its place"
            return
        if link.get("before") != before:
            yield f"entry {place} does not follow the one before it: one of the two was changed"
            return
        before = sha256(line).hexdigest()
    if before != about.get("last") or len(lines) != about.get("entries"):
        yield "the last entries are missing, or were changed"


def originals(files: Files) -> Iterator[str]:
    """Photos and sounds that are not those their entries name."""
    left_out = said(files).get("originals") == "left out"
    there = {
        name.removeprefix(ORIGINALS).partition(".")[0]: name for name in files if name.startswith(ORIGINALS)
    }
    for line in files[ENTRIES].split(b"\n")[:-1]:
        link = link_of(line)
        if link.get("kind") not in ("photo", "sound"):
            continue
        named = json.loads(str(link["body"])).get("sha256")
        if named in there:
            if sha256(files[there[named]]).hexdigest() != named:
                yield f"{there[named]} is not the file that entry {link['seq']} names"
        elif not left_out:
            yield f"the {link['kind']} of entry {link['seq']} is missing"


def said(files: Files) -> dict[str, object]:
    """What the pack says of itself."""
    try:
        about = json.loads(files[ABOUT])
    except ValueError:
        return {}
    return about if isinstance(about, dict) else {}


def link_of(line: bytes) -> dict[str, object]:
    """A line as the entry it is; nothing where it is none."""
    try:
        row = json.loads(line)
    except ValueError:
        return {}
    fine = isinstance(row, list) and len(row) == len(FIELDS) and canonical(row) == line
    return dict(zip(FIELDS, row, strict=True)) if fine else {}


def canonical(value: object) -> bytes:
    """The one way in which JSON is written here: what is hashed."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def main(asked: list[str]) -> int:
    """Say what holds and what does not; 0 where all of it holds."""
    pack = Path(asked[0]) if asked else Path(__file__).resolve().parent
    try:
        files = files_of(pack)
    except (OSError, zipfile.BadZipFile) as slip:
        print(f"{pack} cannot be read: {slip}")
        return 1
    found = list(faults(files))
    for fault in found:
        print(f"DOES NOT HOLD: {fault}.")
    if found:
        return 1
    about = said(files)
    print(
        f"Visit {about['visit']}: {len(files)} files and {about['entries']} entries, all as they were packed; every entry follows the one before."
    )
    if about.get("originals") == "left out":
        print(
            "Photos and sounds as they came were left out of this pack; entries name them by their SHA-256."
        )
    print(
        f"The last entry's hash is {about['last']}. It stands at the end of sheet.pdf, and in the shop's record."
    )
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
