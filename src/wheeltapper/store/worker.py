"""The process that works tasks off and sends e-mails: started beside the server, started again when it falls, ended with the server."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Event, Thread

PAUSE_S = 2.0  # before a fallen worker is started again


@contextmanager
def at_work() -> Iterator[None]:
    """A worker process for as long as this lasts; the environment names the shop's folder."""
    end = Event()
    process = [_started()]
    watch = Thread(target=_watched, args=(process, end), daemon=True)
    watch.start()
    try:
        yield
    finally:
        end.set()
        watch.join()
        _ended(process[0])


def _started() -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-m", __name__], stdin=subprocess.PIPE)


def _watched(process: list[subprocess.Popen[bytes]], end: Event) -> None:
    while not end.wait(PAUSE_S):
        if process[0].poll() is not None:
            _ended(process[0])
            process[0] = _started()


def _ended(process: subprocess.Popen[bytes]) -> None:
    """It ends when nobody holds the other end of its input any more; what it was at is taken up again another time."""
    assert process.stdin is not None
    process.stdin.close()
    try:
        process.wait(5)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


def main() -> None:
    """Work until the server that started this has gone."""
    import django

    django.setup()
    from wheeltapper.store.ahead import make_ahead
    from wheeltapper.store.files import swept
    from wheeltapper.store.outlook import keep_pooled
    from wheeltapper.store.sending import send_off
    from wheeltapper.store.tasks import work_off

    stop = Event()

    def listen() -> None:
        sys.stdin.buffer.read()
        stop.set()

    Thread(target=listen, daemon=True).start()
    Thread(target=make_ahead, args=(stop,), daemon=True).start()
    Thread(target=keep_pooled, args=(stop,), daemon=True).start()

    # Beside the tasks: a mail server that hangs must not keep a drum waiting, nor a fault in one the other.
    def send() -> None:
        try:
            send_off(stop)
        finally:
            stop.set()  # fallen: the whole process ends, and is started again

    Thread(target=send, daemon=True).start()
    swept()
    work_off(stop)


if __name__ == "__main__":
    main()
