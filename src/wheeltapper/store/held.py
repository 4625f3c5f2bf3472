"""A lock on one number, held by a process and gone with it, on every system.

One file serves for all numbers: each is a byte of it that is locked, and nothing is ever written there.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def by_us(file: Path, number: int) -> Iterator[bool]:
    """Hold a number while inside; False where somebody else does.

    Within one process it must not be entered twice at once for the same file: the system counts locks by process.
    """
    handle = os.open(file, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        yield _locked(handle, number)
    finally:
        os.close(handle)  # with it the lock falls


def _locked(handle: int, number: int) -> bool:
    os.lseek(handle, number, os.SEEK_SET)
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.lockf(handle, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, number, os.SEEK_SET)
    except OSError:  # held by another
        return False
    return True
