"""A server of its own in a process of its own, for tests that need a real one."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

RUN = [sys.executable, "-c", "from wheeltapper.cli import main; main()"]


@dataclass(frozen=True)
class Running:
    """Where it answers, and where it keeps its things."""

    folder: Path
    port: int
    tls: bool
    process: subprocess.Popen[bytes]

    @property
    def at(self) -> str:
        """Its address."""
        return f"{'https' if self.tls else 'http'}://127.0.0.1:{self.port}"

    @property
    def door(self) -> str:
        """The plain-http door beside a secure server."""
        return f"http://127.0.0.1:{self.port + 1}"


def environment(**more: str) -> dict[str, str]:
    """Ours, with cheap hashes, and no shop folder of the tests."""
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("WHEELTAPPER_", "DJANGO_"))}
    return {**kept, "WHEELTAPPER_ARGON2_KIB": "64", **more}


def command(*words: str) -> subprocess.CompletedProcess[str]:
    """Run a command of ours to its end."""
    return subprocess.run(
        [*RUN, *words], capture_output=True, text=True, timeout=120, check=False, env=environment()
    )


def free_ports() -> int:
    """A port that is free, and the next one too."""
    for _ in range(50):
        with socket.socket() as one, socket.socket() as next_one:
            one.bind(("127.0.0.1", 0))
            port: int = one.getsockname()[1]
            try:
                next_one.bind(("127.0.0.1", port + 1))
            except (OSError, OverflowError):
                continue
            return port
    raise AssertionError("no two free ports in a row")


@contextmanager
def serving(folder: Path, tls: bool = False, port: int = 0) -> Iterator[Running]:
    """`serve` until it answers; ended at the end."""
    port = port or free_ports()
    words = ["serve", "--folder", str(folder), "--host", "127.0.0.1", "--port", str(port)]
    log = folder.parent / f"{folder.name}.log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [*RUN, *words, *(["--tls"] if tls else [])], stdout=out, stderr=out, env=environment()
        )
        try:
            _answers(port, process, log)
            yield Running(folder, port, tls, process)
        finally:
            process.terminate()
            process.wait(30)


def silent(port: int) -> bool:
    """Nobody listens there any more, within ten seconds."""
    until = time.monotonic() + 10
    while time.monotonic() < until:
        with socket.socket() as trying:
            trying.settimeout(0.2)
            if trying.connect_ex(("127.0.0.1", port)) != 0:
                return True
        time.sleep(0.1)
    return False


def _answers(port: int, process: subprocess.Popen[bytes], log: Path) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        assert process.poll() is None, log.read_text("utf-8")
        with socket.socket() as trying:
            trying.settimeout(0.2)
            if trying.connect_ex(("127.0.0.1", port)) == 0:
                return
        process_wait(process)
    raise AssertionError(f"no answer: {log.read_text('utf-8')}")


def process_wait(process: subprocess.Popen[bytes]) -> None:
    """A moment, or until it ended."""
    try:
        process.wait(0.1)
    except subprocess.TimeoutExpired:
        return
