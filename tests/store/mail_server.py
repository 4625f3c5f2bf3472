"""A mail server on this machine, as far as SMTP (RFC 5321) goes here: it takes a mail, or says what it is told to say."""

from __future__ import annotations

import base64
import socketserver
import threading
from collections.abc import Iterator
from contextlib import contextmanager


class MailServer(socketserver.ThreadingTCPServer):
    """Answers by the beginning of what it is asked; `says` puts another answer in place of the usual one."""

    allow_reuse_address, daemon_threads = True, True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), _Talk)
        self.says: dict[str, str] = {}
        self.mails: list[str] = []
        self.to: list[str] = []
        self.logins: list[str] = []
        self.slow = threading.Event()  # not set: it takes a call and says nothing
        self.slow.set()

    @property
    def port(self) -> int:
        """Where it listens."""
        return int(self.server_address[1])


class _Talk(socketserver.StreamRequestHandler):
    server: MailServer

    def handle(self) -> None:
        self.server.slow.wait(60)
        self._say("220 here")
        while line := self.rfile.readline().decode().strip():
            word = line.split(" ")[0].upper()
            if word in self.server.says:
                self._say(self.server.says[word])
            elif word == "EHLO":
                self._say("250-here\r\n250 AUTH PLAIN")
            elif word == "AUTH":
                self.server.logins.append(base64.b64decode(line.split(" ")[2]).decode())
                self._say("235 fine")
            elif word == "DATA":
                self._taken()
            elif word == "QUIT":
                self._say("221 bye")
                return
            else:
                if word == "RCPT":
                    self.server.to.append(line)
                self._say("250 fine")

    def _taken(self) -> None:
        self._say("354 go on")
        lines: list[str] = []
        while (line := self.rfile.readline().decode()) not in (".\r\n", ""):
            lines.append(line)
        self.server.mails.append("".join(lines))
        self._say("250 taken")

    def _say(self, text: str) -> None:
        self.wfile.write(f"{text}\r\n".encode())


@contextmanager
def mail_server() -> Iterator[MailServer]:
    """One that runs while this lasts."""
    with MailServer() as server:
        thread = threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True)
        thread.start()
        try:
            yield server
        finally:
            server.shutdown()
