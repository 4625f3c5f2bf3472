"""A closed booth for strangers' files: decode one in another process that has little of anything and opens no other file.

Imported, it starts the process (`work`); run, it is the process (`main`). A decoder is a file of code beside the room it
serves. It imports nothing of this product and has `ready()`, which loads all that decoding needs, `decoded(file)`, which
gives what is to be told and bytes, and `Unusable`, which it raises with one word that its room knows. What comes out of
the booth is counted before it is kept. This file knows nothing of sounds or pictures.
"""

from __future__ import annotations

import json
import os
import runpy
import stat
import subprocess
import sys
from io import BufferedReader
from pathlib import Path
from threading import Timer
from typing import Any

MOST_HEAD = 1_000  # bytes of what is told
UNREADABLE, TOO_MUCH = {"slip": "unreadable"}, {"slip": "too much"}  # words that every room knows
STANDARD_FILES = 3  # input, output, errors: with those open no other file can be


def opened(path: Path) -> BufferedReader:
    """Open a file to be read, without waiting: a pipe that nobody writes to would wait for ever.

    Args:
        path: the file.

    Returns:
        The open file; whether it is one at all, `is_file` tells.

    Raises:
        OSError: it cannot be opened.
    """
    return open(path, "rb", opener=lambda name, flags: os.open(name, flags | getattr(os, "O_NONBLOCK", 0)))


def is_file(file: BufferedReader) -> bool:
    """Whether something open is a file, and neither folder nor pipe nor device."""
    return stat.S_ISREG(os.fstat(file.fileno()).st_mode)


def work(
    decoder: Path,
    file: BufferedReader,
    most_bytes: int,
    memory_bytes: int,
    computing_s: int,
    patience_s: float,
) -> tuple[dict[str, Any], bytes]:
    """Have an open file decoded.

    Args:
        decoder: the decoder's code.
        file: the open file, at its start.
        most_bytes: more than so much is not taken from the decoder.
        memory_bytes: address space of the process; most of it is libraries.
        computing_s: its computing time [s].
        patience_s: its time by the clock [s].

    Returns:
        What the decoder tells and its bytes; {'slip': word} and nothing where the file cannot be used.
    """
    command = [sys.executable, "-I", __file__, str(decoder), str(memory_bytes), str(computing_s)]
    kept = {k: os.environ[k] for k in ("PATH", "SYSTEMROOT", "LD_LIBRARY_PATH") if k in os.environ}
    env = kept | {"OPENBLAS_NUM_THREADS": "1"}
    with subprocess.Popen(
        command, stdin=file, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=env
    ) as child:
        clock = Timer(patience_s, child.kill)
        clock.start()
        assert child.stdout is not None
        data = child.stdout.read(MOST_HEAD + most_bytes + 1)
        if len(data) > MOST_HEAD + most_bytes:
            child.kill()
        code = child.wait()
        clock.cancel()
    head, end, rest = data.partition(b"\n")
    if code == 1:  # it stumbled over what is in the file
        return dict(UNREADABLE), b""
    if code or not end or len(head) > MOST_HEAD or len(rest) > most_bytes:
        return dict(TOO_MUCH), b""
    return json.loads(head), rest


def _limit(**most: int) -> None:
    """Take from this process what decoding does not need. Where the system knows no limits, the clock must do."""
    try:
        import resource
    except ImportError:
        return
    for what, amount in most.items():
        try:
            resource.setrlimit(getattr(resource, f"RLIMIT_{what}"), (amount, amount))
        except (ValueError, OSError):  # a stricter limit stands already
            continue


def main(decoder: str, memory_bytes: str, computing_s: str) -> None:
    """Decode what stands in the input: one line of JSON, then bytes."""
    _limit(AS=int(memory_bytes), CPU=int(computing_s), CORE=0, FSIZE=0)
    code = runpy.run_path(decoder)
    code["ready"]()
    _limit(NOFILE=STANDARD_FILES)
    data = b""
    try:
        told, data = code["decoded"](sys.stdin.buffer)
    except code["Unusable"] as why:
        told = {"slip": str(why)}
    except MemoryError:
        told = TOO_MUCH
    sys.stdout.buffer.write(json.dumps(told).encode() + b"\n" + data)


if __name__ == "__main__":
    main(*sys.argv[1:])
