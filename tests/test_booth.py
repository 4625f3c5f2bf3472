"""The closed booth: what a decoder that has gone astray can and cannot do in it."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from wheeltapper import booth

pytestmark = pytest.mark.reasoned
START = "class Unusable(Exception): pass\ndef ready(): pass\ndef decoded(file):\n    "


def told(tmp_path: Path, body: str, most_bytes: int = 1000) -> tuple[dict[str, Any], bytes]:
    """What comes of a decoder with this body, given a small file."""
    (tmp_path / "decoder.py").write_text(START + body)
    (tmp_path / "given").write_bytes(b"seven b")
    with booth.opened(tmp_path / "given") as file:
        assert booth.is_file(file)
        return booth.work(tmp_path / "decoder.py", file, most_bytes, 400_000_000, 1, 20.0)


def test_it_is_given_the_open_file(tmp_path: Path) -> None:
    """And nothing of this process's surroundings."""
    os.environ["SHOP_SECRET"] = "x"
    head, data = told(tmp_path, "import os; return {'env': sorted(os.environ)}, file.read()")
    del os.environ["SHOP_SECRET"]

    assert data == b"seven b"
    assert "SHOP_SECRET" not in head["env"]


def test_it_can_open_no_other(tmp_path: Path) -> None:
    """Neither to read nor to write, though the file is there and everybody may."""
    (tmp_path / "other").write_text("other")
    for mode in ("r", "w"):
        assert told(tmp_path, f"open({str(tmp_path / 'other')!r}, {mode!r}); return {{}}, b''") == (
            {"slip": "unreadable"},
            b"",
        )
    assert (tmp_path / "other").read_text() == "other"


def test_it_has_little_memory_and_time(tmp_path: Path) -> None:
    """A gigabyte, or computing without end: too much."""
    for body in ("return {}, bytes(10**9)", "while True: pass"):
        assert told(tmp_path, body) == ({"slip": "too much"}, b"")


def test_what_comes_out_is_counted(tmp_path: Path) -> None:
    """Up to what was agreed, and not a byte more; nor a long tale; nor silence."""
    assert told(tmp_path, "return {}, b'x' * 1000")[1] == b"x" * 1000
    for body in (
        "return {}, b'x' * 1001",
        "return {}, b'x' * 10**8",
        "return {'tale': 'x' * 2000}, b''",
        "import os; os._exit(0)",
    ):
        assert told(tmp_path, body) == ({"slip": "too much"}, b"")


def test_what_it_says_is_passed_on(tmp_path: Path) -> None:
    """Its own word for what is wrong."""
    assert told(tmp_path, "raise Unusable('raw')") == ({"slip": "raw"}, b"")
