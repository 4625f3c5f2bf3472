"""The commands of the shop's server: `serve` runs it, `phones` makes its certificate, `verify` walks its chains, `let-in` gives a password."""

from __future__ import annotations

import os
import socket
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING

import click

from wheeltapper.cli_out import django_ready, is_a_shop, put

if TYPE_CHECKING:
    from wheeltapper.web.certificate import Papers

PORT = 8000
THREADS = 8
WORKERS = 2  # processes: an examination takes a whole core for a moment
FOLDER = click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default="shop",
    show_default=True,
    help="The shop's folder: database, photos, sounds, certificate.",
)
PORT_OPTION = click.option(
    "--port",
    type=click.IntRange(1, 65534),
    default=PORT,
    show_default=True,
    help="Port of the server; with --tls the plain-http door is the next one.",
)


@click.command()
@FOLDER
@PORT_OPTION
@click.option("--host", default="0.0.0.0", show_default=True, help="Address to listen at; 127.0.0.1: this machine alone.")  # fmt: skip
@click.option("--tls", is_flag=True, help="Secure pages (https), with the shop's own certificate.")
def serve(folder: Path, port: int, host: str, tls: bool) -> None:
    """Run the shop's server: phones and the office PC use it over the shop's network."""
    for asked in (port, port + 1) if tls else (port,):
        _free(host, asked)
    django_ready(folder, tls)
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)
    call_command("clearsessions")
    _forget_ended()
    made = _papers(folder, ()) if tls else None
    _say_addresses(host, port, tls)
    if made:
        _open_door(host, port)
    from wheeltapper.store.worker import at_work

    with at_work():
        _run(host, port, made)


def serve_demo(folder: Path, port: int) -> None:
    """Run the server on this machine alone with an invented shop in `folder`, made if it is not there yet."""
    _free("127.0.0.1", port)
    django_ready(folder)
    from django.core.management import call_command

    call_command("migrate", verbosity=0, interactive=False)
    from wheeltapper.web.demo_shop import PASSWORD, PEOPLE, fill

    fill()
    click.echo("Everything in it is invented; pictures are rendered, sounds are simulated.")
    for short, name, role in PEOPLE:
        click.echo(f"  {name}, {role}: sign in as {short.lower()}, password: {PASSWORD}")
    click.echo(f"http://127.0.0.1:{port}/")
    from wheeltapper.store.worker import at_work

    with at_work():
        _run("127.0.0.1", port, None)


def _forget_ended() -> None:
    from django.utils import timezone

    from wheeltapper.store.models import SignedIn

    SignedIn.objects.filter(until__lt=timezone.now()).delete()


def _free(host: str, port: int) -> None:
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as trying:
        trying.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trying.bind((host, port))
        except OSError as slip:
            said = (slip.strerror or "unknown").lower()
            click.echo(f"port {port}: cannot be used: {said}. To do: take another with --port.", err=True)
            raise SystemExit(1) from None


def _papers(folder: Path, also: tuple[str, ...]) -> Papers:
    from wheeltapper.web.certificate import papers

    made = papers(folder.resolve(), also)
    if made.new_authority:
        click.echo(
            "The shop's certificate is new: each phone fetches it once (wheeltapper phones).", err=True
        )
    elif made.new_certificate:
        click.echo("The server's certificate was renewed; phones need nothing.", err=True)
    return made


def _say_addresses(host: str, port: int, tls: bool) -> None:
    for address in _addresses(host):
        click.echo(f"{'https' if tls else 'http'}://{address}:{port}/")
    if tls:
        click.echo(f"Phones fetch the certificate at http://{_addresses(host)[0]}:{port + 1}/")
    click.echo("The first who opens it makes the owner's account. Stop with Ctrl-C.")


def _addresses(host: str) -> list[str]:
    """What a phone can type: each address that this machine has on its networks, then its name."""
    if host not in ("0.0.0.0", "::"):
        return [f"[{host}]" if ":" in host else host]
    from wheeltapper.web.certificate import addresses_here, host_name

    return [*map(str, addresses_here()), f"{host_name()}.local"]


def _open_door(host: str, port: int) -> None:
    """Plain http beside the secure server: a phone that does not trust it yet must get the certificate somehow."""
    from socketserver import ThreadingMixIn
    from threading import Thread
    from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

    from wheeltapper.web.phones import door
    from wheeltapper.web.wsgi import application

    class Quiet(WSGIRequestHandler):
        timeout = 20

        def log_message(self, format: str, *args: object) -> None:
            """Says nothing."""

    class Server(ThreadingMixIn, WSGIServer):
        daemon_threads = True

    server = make_server(host, port + 1, door(application, port), Server, Quiet)
    Thread(target=server.serve_forever, daemon=True).start()


def _run(host: str, port: int, made: Papers | None) -> None:
    import multiprocessing

    from granian import Granian
    from granian.constants import Interfaces, SSLProtocols
    from granian.log import LogLevels

    # Spawned, as everywhere but on Linux: a forked process would share our database handle and the door's thread.
    multiprocessing.set_start_method("spawn", force=True)
    os.environ["WHEELTAPPER_STARTER"] = str(os.getpid())
    Granian(
        "wheeltapper.web.wsgi:application",
        address=host,
        port=port,
        interface=Interfaces.WSGI,
        workers=WORKERS,
        blocking_threads=THREADS,
        log_level=LogLevels.error,
        ssl_cert=made.certificate if made else None,
        ssl_key=made.key if made else None,
        ssl_protocol_min=SSLProtocols.tls12,
        respawn_failed_workers=True,
    ).serve()


@click.command()
@FOLDER
@PORT_OPTION
@click.option("--also", multiple=True, help="A further name or address of this machine; kept for renewals.")
@click.option("--picture", type=click.Path(path_type=Path, dir_okay=False), help="Write the QR code here, as PNG or SVG.")  # fmt: skip
def phones(folder: Path, port: int, also: tuple[str, ...], picture: Path | None) -> None:
    """Make the shop's own certificate, and show the QR code at which a phone fetches it."""
    import segno

    django_ready(folder)
    from wheeltapper.web.certificate import fingerprint
    from wheeltapper.web.phones import PAGE, STEPS

    made = _papers(folder, also)
    hosts = _addresses("0.0.0.0")
    at = f"http://{hosts[0]}:{port + 1}{PAGE}"
    code, text = segno.make(at, error="m"), StringIO()
    code.terminal(text, compact=True)
    click.echo(text.getvalue())
    click.echo(f"1. Start the server: wheeltapper serve --tls --folder {folder} --port {port}")
    click.echo(f"2. With the phone, on the shop's network, open {at}")
    click.echo("   (the QR code; or " + ", ".join(f"http://{h}:{port + 1}{PAGE}" for h in hosts[1:]) + ")")
    click.echo("3. Do there what it says for the phone; the words differ a little from maker to maker:")
    for kind, steps in STEPS:
        click.echo("\n".join([f"   {kind}", *(f"     - {step}" for step in steps)]))
    click.echo(f"4. Its fingerprint (SHA-256) must be {fingerprint(made.authority)}")
    click.echo(f"5. Then open https://{hosts[0]}:{port}/")
    if picture is not None:
        _write_picture(code, picture)


def _write_picture(code: object, picture: Path) -> None:
    from io import BytesIO

    import segno

    assert isinstance(code, segno.QRCode)
    kind = picture.suffix.lower().lstrip(".")
    if kind not in ("png", "svg"):
        click.echo(f"{picture}: it is neither PNG nor SVG. To do: end its name in .png or .svg.", err=True)
        raise SystemExit(1)
    data = BytesIO()
    code.save(data, kind=kind, scale=8, border=4)
    put(picture, data.getvalue(), "QR code written")


@click.command()
@FOLDER
@click.option(
    "--against",
    type=click.Path(path_type=Path, dir_okay=False, exists=True),
    help="A backup: what it holds must still be there, unchanged.",
)
def verify(folder: Path, against: Path | None) -> None:
    """Walk every visit's chain of entries and every photo and sound; name the first broken link of each."""
    is_a_shop(folder)
    django_ready(folder)
    from wheeltapper.store.backup import cut_since
    from wheeltapper.store.find import broken_chains, broken_originals
    from wheeltapper.store.models import KeptEntry, KeptVisit, Original

    chains, files = list(broken_chains()), list(broken_originals())
    since = list(cut_since(against, folder / "shop.sqlite3")) if against else []
    for fault in (*chains, *files, *since):
        click.echo(fault.said, err=True)
    visits, entries = KeptVisit.objects.count(), KeptEntry.objects.count()
    state = f"{len(chains)} broken" if chains else "every chain holds"
    whole = f"{len(files)} at fault" if files else "all whole"
    click.echo(f"{visits} visits, {entries} entries checked: {state}.")
    click.echo(f"{Original.objects.count()} photos and sounds checked: {whole}.")
    raise SystemExit(1 if chains or files or since else 0)


@click.command(name="let-in")
@click.argument("login")
@FOLDER
def let_in(login: str, folder: Path) -> None:
    """Give somebody a new first password, printed here once: for an owner who forgot theirs. Their sessions and PINs end."""
    is_a_shop(folder)
    django_ready(folder)
    from wheeltapper.problems import Problem, nearest
    from wheeltapper.store.models import Person
    from wheeltapper.web import people

    them = Person.objects.filter(login=login.lower(), is_active=True).first()
    if them is None:
        known = list(Person.objects.filter(is_active=True).values_list("login", flat=True))
        click.echo(
            Problem(login, "nobody who works here has that login", nearest(login, known)).said, err=True
        )
        raise SystemExit(1)
    click.echo(f"{them.name}, login {them.login}: {people.let_in(them)}")
    click.echo("It is good for one sign-in, which asks for another. Nothing they answered is changed.")
