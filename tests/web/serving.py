"""A server of its own in a process of its own, for tests that need a real one."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

RUN = [sys.executable, "-c", "from wheeltapper.cli import main; main()"]


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


class Server:
    """`wheeltapper serve` with a shop folder of its own: where it answers, and where it keeps its things."""

    def __init__(self, folder: Path, tls: bool = False, port: int = 0) -> None:
        self.folder, self.tls = folder, tls
        self.port = port or free_ports()
        self.at = f"{'https' if tls else 'http'}://127.0.0.1:{self.port}"
        self.door = f"http://127.0.0.1:{self.port + 1}"  # plain http beside a secure server
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Run it, and wait until it answers."""
        words = ["serve", "--folder", str(self.folder), "--host", "127.0.0.1", "--port", str(self.port)]
        log = self.folder.parent / f"{self.folder.name}.log"
        with log.open("ab") as out:
            self.process = subprocess.Popen(
                [*RUN, *words, *(["--tls"] if self.tls else [])], stdout=out, stderr=out, env=environment()
            )
        _answers(self.port, self.process, log)

    def stop(self) -> None:
        """End it as Ctrl-C does."""
        if self.process is not None:
            self.process.terminate()
            self.process.wait(30)
            self.process = None

    def kill(self) -> None:
        """End it as a power cut does."""
        assert self.process is not None
        self.process.kill()
        self.process.wait(30)


@contextmanager
def serving(folder: Path, tls: bool = False, port: int = 0) -> Iterator[Server]:
    """A server that answers; ended at the end."""
    server = Server(folder, tls, port)
    try:
        server.start()
        yield server
    finally:
        server.stop()


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
