"""The shop's own certificate authority and the server's certificate, so that phones get a secure page on the shop's network.

The authority may sign for this machine's names and for private addresses only: a stolen key opens nobody's bank.
Keys are readable by this account alone. Lengths of life: ten years for the authority; 397 days for the server, since
phones refuse longer ones.
"""

from __future__ import annotations

import os
import socket
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

AUTHORITY_DAYS, SERVER_DAYS, RENEW_DAYS = 3650, 397, 30
PRIVATE = tuple(
    map(ip_network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "127.0.0.0/8", "fd00::/8", "::1/128"))
)
ASKED = (
    "10.255.255.255",
    "172.31.255.255",
    "192.168.255.255",
    "192.0.2.1",
)  # which way would a packet leave; none is sent
Address = IPv4Address | IPv6Address


@dataclass(frozen=True)
class Papers:
    """Where the papers lie, and what was made anew this time."""

    authority: Path
    certificate: Path
    key: Path
    new_authority: bool
    new_certificate: bool


def names_here(also: tuple[str, ...] = ()) -> tuple[tuple[str, ...], tuple[Address, ...]]:
    """This machine's names and addresses, as a phone on the shop's network may call it."""
    host = host_name()
    names, addresses = {"localhost", host, f"{host}.local"}, {ip_address("127.0.0.1"), *addresses_here()}
    for word in also:
        try:
            addresses.add(ip_address(word))
        except ValueError:
            names.add(word.lower())
    return tuple(sorted(names)), tuple(sorted(addresses, key=lambda a: (a.version, int(a))))


def host_name() -> str:
    """This machine's own name, without a domain."""
    return socket.gethostname().split(".")[0].lower() or "localhost"


def addresses_here() -> tuple[Address, ...]:
    """This machine's own addresses on its networks, IPv4."""
    found = set()
    for far in ASKED:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
            try:
                asking.connect((far, 9))
            except OSError:
                continue
            found.add(ip_address(asking.getsockname()[0]))
    return tuple(sorted(a for a in found if not a.is_unspecified and not a.is_loopback))


def papers(folder: Path, also: tuple[str, ...] = ()) -> Papers:
    """Authority and certificate in the shop's folder; made where missing, used up, or for other names than now."""
    place = folder / "certificate"
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    names, addresses = names_here(_also(place, also))
    made = not (place / "authority.key").exists() or not _covers(
        _read(place / "authority.crt"), names, addresses
    )
    if made:
        _make_authority(place, names, addresses)
    server = place / "server.crt"
    renew = made or not server.exists() or not _is_for(_read(server), names, addresses)
    if renew:
        _make_server(place, names, addresses)
    return Papers(place / "authority.crt", server, place / "server.key", made, renew)


def _also(place: Path, more: tuple[str, ...]) -> tuple[str, ...]:
    """Further names that were asked for, now or before; kept, so that a renewal does not lose them."""
    path = place / "also.txt"
    before = path.read_text("utf-8").split() if path.exists() else []
    every = tuple(sorted({*before, *more}))
    if more:
        path.write_text("\n".join(every) + "\n", "utf-8")
    return every


def fingerprint(authority: Path) -> str:
    """SHA-256 of the authority's certificate, as a phone shows it."""
    return _read(authority).fingerprint(hashes.SHA256()).hex(":").upper()


def as_phones_take_it(authority: Path) -> bytes:
    """The authority's certificate in DER, which every phone reads."""
    return _read(authority).public_bytes(serialization.Encoding.DER)


def _read(path: Path) -> x509.Certificate:
    return x509.load_pem_x509_certificate(path.read_bytes())


def _young(paper: x509.Certificate) -> bool:
    return paper.not_valid_after_utc - datetime.now(UTC) > timedelta(days=RENEW_DAYS)


def _covers(authority: x509.Certificate, names: tuple[str, ...], addresses: tuple[Address, ...]) -> bool:
    """Whether an authority may sign for all of these."""
    allowed = (
        authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    )
    dns = [n.value for n in allowed if isinstance(n, x509.DNSName)]
    nets = [n.value for n in allowed if isinstance(n, x509.IPAddress)]
    by_name = all(any(n == d or n.endswith(f".{d}") for d in dns) for n in names)
    return _young(authority) and by_name and all(any(a in net for net in nets) for a in addresses)  # type: ignore[operator]


def _is_for(paper: x509.Certificate, names: tuple[str, ...], addresses: tuple[Address, ...]) -> bool:
    said = paper.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    have = set(said.get_values_for_type(x509.DNSName)) | set(said.get_values_for_type(x509.IPAddress))
    return _young(paper) and have == {*names, *addresses}


def _make_authority(place: Path, names: tuple[str, ...], addresses: tuple[Address, ...]) -> None:
    key = ec.generate_private_key(ec.SECP256R1())
    own = x509.Name(
        [
            x509.NameAttribute(
                NameOID.COMMON_NAME, f"Wheeltapper, this shop ({host_name()}) {datetime.now(UTC):%Y-%m-%d}"
            )
        ]
    )
    nets = {*PRIVATE, *(ip_network(a) for a in addresses)}
    allowed = [*map(x509.DNSName, sorted({*names, "local"})), *map(x509.IPAddress, sorted(nets, key=str))]
    paper = (
        _begun(own, own, key.public_key(), AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_use(signs=True), critical=True)
        .add_extension(x509.NameConstraints(allowed, None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _write(place, "authority", key, paper)


def _make_server(place: Path, names: tuple[str, ...], addresses: tuple[Address, ...]) -> None:
    authority = _read(place / "authority.crt")
    signer = serialization.load_pem_private_key((place / "authority.key").read_bytes(), None)
    assert isinstance(signer, ec.EllipticCurvePrivateKey)
    key = ec.generate_private_key(ec.SECP256R1())
    called = x509.SubjectAlternativeName([*map(x509.DNSName, names), *map(x509.IPAddress, addresses)])
    paper = (
        _begun(
            x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0])]),
            authority.subject,
            key.public_key(),
            SERVER_DAYS,
        )
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(called, critical=False)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_use(signs=False), critical=True)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()), critical=False
        )
        .sign(signer, hashes.SHA256())
    )
    _write(place, "server", key, paper)


def _begun(
    subject: x509.Name, issuer: x509.Name, public: ec.EllipticCurvePublicKey, days: int
) -> x509.CertificateBuilder:
    yesterday = datetime.now(UTC) - timedelta(days=1)  # a phone's clock may be behind
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(yesterday)
        .not_valid_after(yesterday + timedelta(days=days))
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
    )


def _use(signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs, key_cert_sign=signs, crl_sign=signs, content_commitment=False, key_encipherment=False,
        data_encipherment=False, key_agreement=False, encipher_only=False, decipher_only=False,
    )  # fmt: skip


def _write(place: Path, name: str, key: ec.EllipticCurvePrivateKey, paper: x509.Certificate) -> None:
    """The key first, and never readable by others, not for an instant."""
    pem = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    for ending, data, mode in (
        ("key", pem, 0o600),
        ("crt", paper.public_bytes(serialization.Encoding.PEM), 0o644),
    ):
        beside = place / f"{name}.{ending}.part"
        beside.unlink(missing_ok=True)
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        beside.replace(place / f"{name}.{ending}")
