"""The script inside a pack: the standard library alone, and every change of a byte is found."""

from __future__ import annotations

import ast
import sys
import zipfile
from pathlib import Path

import pytest

from conftest import ROOT
from wheeltapper.store import chain, checking
from wheeltapper.store.chain import Link

pytestmark = pytest.mark.reasoned
NUMBER = "26-0007"


def links(count: int = 4) -> list[Link]:
    """A chain made by the shop's own rule."""
    out: list[Link] = []
    before = chain.first(NUMBER)
    for seq in range(1, count + 1):
        body = chain.canonical({"sha256": "0" * 64} if seq == 2 else {"complaint": "Zieht nach links: é"})
        link = Link(
            seq,
            f"{seq:032x}",
            "2026-11-20T08:00:00.000Z",
            "2026-11-20T08:00:01.000Z",
            "T1",
            "dev",
            "photo" if seq == 2 else "piece",
            (),
            body,
            before,
            "",
        )
        out.append(link)
        before = chain.hash_of(link)
    return out


def packed(rows: list[Link]) -> checking.Files:
    """The least that a pack is."""
    lines = [checking.canonical([getattr(r, f) for f in checking.FIELDS]) for r in rows]
    about = {"visit": NUMBER, "entries": len(rows), "last": chain.hash_of(rows[-1])}
    files = {
        checking.ENTRIES: b"".join(line + b"\n" for line in lines),
        checking.ABOUT: checking.canonical(about),
    }
    return files | {checking.SUMS: sums_of(files)}


def sums_of(files: checking.Files) -> bytes:
    """The list of files, as whoever changed one would make it anew."""
    return "".join(f"{checking.sha256(data).hexdigest()}  {name}\n" for name, data in files.items()).encode()


def test_its_line_is_what_the_shop_hashes() -> None:
    """The hash of a line of the pack is the hash that the database keeps."""
    for link in links():
        line = checking.canonical([getattr(link, f) for f in checking.FIELDS])
        assert checking.sha256(line).hexdigest() == chain.hash_of(link)
    assert list(checking.faults(packed(links()))) == ["the photo of entry 2 is missing"]


def test_it_needs_nothing_but_the_standard_library() -> None:
    tree = ast.parse((ROOT / "src" / "wheeltapper" / "store" / "checking.py").read_text("utf-8"))
    named = {(n.module or "") if isinstance(n, ast.ImportFrom) else a.name for n in ast.walk(tree) if isinstance(n, ast.Import | ast.ImportFrom)
             for a in n.names}  # fmt: skip

    assert {name.split(".")[0] for name in named} <= set(sys.stdlib_module_names)


@pytest.mark.parametrize("place", range(4))
def test_an_entry_that_was_changed_or_taken_out_is_found_though_the_list_was_made_anew(place: int) -> None:
    whole = packed(links())
    lines = whole[checking.ENTRIES].split(b"\n")[:-1]
    changed = [*lines[:place], lines[place].replace(b"T1", b"T2"), *lines[place + 1 :]]
    gone = [*lines[:place], *lines[place + 1 :]]
    for rows in (changed, gone):
        files = whole | {checking.ENTRIES: b"".join(r + b"\n" for r in rows)}
        files.pop(checking.SUMS)
        found = list(checking.faults(files | {checking.SUMS: sums_of(files)}))
        assert found, place
        assert any("entry" in fault or "entries" in fault for fault in found if "photo" not in fault)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("entries.jsonl", b"{}\n"),
        ("entries.jsonl", b"[1]\n"),
        ("visit.json", b"[]"),
        ("visit.json", b"{"),
        ("entries.jsonl", b""),
    ],
)
def test_what_is_no_pack_ends_in_words(name: str, data: bytes) -> None:
    assert list(checking.faults(packed(links()) | {name: data}))
    assert list(checking.faults({})) == [
        "SHA256SUMS is missing",
        "entries.jsonl is missing",
        "visit.json is missing",
    ]


def test_a_name_that_stands_twice_in_a_zip_is_no_pack(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One tool would unpack the first and another the last."""
    whole, twice = tmp_path / "whole.zip", tmp_path / "twice.zip"
    for out in (whole, twice):
        with zipfile.ZipFile(out, "w") as held:
            for name, data in packed(links()).items():
                held.writestr(name, data)
            if out == twice:
                with pytest.warns(UserWarning, match="Duplicate name"):
                    held.writestr(checking.ENTRIES, b"")

    assert checking.main([str(whole)]) == 1  # those entries name a photo that is not there
    assert "the photo of entry 2 is missing" in capsys.readouterr().out
    assert checking.main([str(twice)]) == 1
    assert "a name stands in it twice" in capsys.readouterr().out
    assert checking.main([str(tmp_path / "none.zip")]) == 1
