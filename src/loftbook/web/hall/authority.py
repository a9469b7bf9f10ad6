"""An authority of our own and its certificate for the laptop, so that tablets in a hall can trust it.

The authority may speak for loftbook.local and for private networks only (name
constraints, RFC 5280 section 4.2.1.10), so a stolen key opens no other site. Its key
lies beside the book and only its owner may read it.
"""

from __future__ import annotations

import ipaddress
import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from loftbook.errors import LoftbookError
from loftbook.web.hall.address import HOTSPOTS, NAME

AUTHORITY_LASTS = timedelta(days=3650)
#: Apple refuses more than 825 days, and browsers 398 for public ones. From memory.
LEAF_LASTS = timedelta(days=397)
_RENEW = timedelta(days=30)
_NETWORKS = (
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "127.0.0.0/8",
    "fc00::/7",
    "fe80::/10",
)
_FILES = ("authority.key", "authority.crt", "laptop.key", "laptop.crt")


@dataclass(frozen=True)
class Papers:
    """Where the laptop's key and certificate lie, and the authority's certificate (DER)."""

    key: Path
    certificate: Path
    authority: bytes


def papers(folder: Path, addresses: Iterable[str], now: datetime) -> Papers:
    """The laptop's certificate for its name and these addresses; made or renewed where that is needed.

    Raises LoftbookError where the folder cannot be written or holds something else.
    """
    hosts = (NAME, *dict.fromkeys((*addresses, *HOTSPOTS)))
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        authority_key, authority = _authority(folder, now)
        key, leaf = folder / _FILES[2], folder / _FILES[3]
        if not _fits(leaf, key, authority, hosts=hosts, now=now):
            _write_leaf(key, leaf, signed_by=(authority_key, authority), hosts=hosts, now=now)
    except (OSError, ValueError, TypeError, UnsupportedAlgorithm) as error:
        raise LoftbookError(
            f"no way to keep certificates in {folder} ({error})",
            "a folder that only you can write to",
            "move that folder away; tablets then need the new certificate once more",
        ) from error
    return Papers(key, leaf, authority.public_bytes(serialization.Encoding.DER))


def _authority(folder: Path, now: datetime) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate]:
    key_file, file = folder / _FILES[0], folder / _FILES[1]
    if key_file.exists() and file.exists():
        key, found = _key(key_file), x509.load_pem_x509_certificate(file.read_bytes())
        if found.not_valid_after_utc > now + _RENEW:
            return key, found
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Loftbook at home, {now:%Y-%m-%d}")])
    permitted: list[x509.GeneralName] = [x509.DNSName(NAME)]
    permitted += [x509.IPAddress(ipaddress.ip_network(network)) for network in _NETWORKS]
    builder = _start(name, name, key.public_key(), now=now, lasts=AUTHORITY_LASTS)
    usage = _usage(signs=True)
    made = (
        builder.add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .sign(key, hashes.SHA256())
    )
    _keep(key_file, _pem(key), secret=True)
    _keep(file, made.public_bytes(serialization.Encoding.PEM))
    return key, made


def _write_leaf(
    key_file: Path,
    file: Path,
    *,
    signed_by: tuple[ec.EllipticCurvePrivateKey, x509.Certificate],
    hosts: tuple[str, ...],
    now: datetime,
) -> None:
    authority_key, authority = signed_by
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, NAME)])
    lasts = min(LEAF_LASTS, authority.not_valid_after_utc - now)
    made = (
        _start(name, authority.subject, key.public_key(), now=now, lasts=lasts)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.SubjectAlternativeName([_general(host) for host in hosts]), critical=False)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key()), critical=False
        )
        .sign(authority_key, hashes.SHA256())
    )
    _keep(key_file, _pem(key), secret=True)
    _keep(file, made.public_bytes(serialization.Encoding.PEM))


def _fits(
    file: Path, key_file: Path, authority: x509.Certificate, *, hosts: tuple[str, ...], now: datetime
) -> bool:
    """Whether the certificate that lies there is ours, for these hosts, and good for a while."""
    if not (file.exists() and key_file.exists()):
        return False
    found = x509.load_pem_x509_certificate(file.read_bytes())
    if found.public_key() != _key(key_file).public_key() or found.not_valid_after_utc < now + _RENEW:
        return False
    try:
        found.verify_directly_issued_by(authority)
    except Exception:  # whatever is wrong with it, it is made anew
        return False
    names = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return {_general(host) for host in hosts} <= set(names)


def _start(
    name: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    *,
    now: datetime,
    lasts: timedelta,
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(days=1))  # a tablet's clock may be behind
        .not_valid_after(now + lasts)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key), critical=False)
    )


def _usage(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=True,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        key_cert_sign=signs,
        crl_sign=signs,
        encipher_only=False,
        decipher_only=False,
    )


def _general(host: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(host))
    except ValueError:
        return x509.DNSName(host)


def _key(file: Path) -> ec.EllipticCurvePrivateKey:
    found = serialization.load_pem_private_key(file.read_bytes(), password=None)
    if not isinstance(found, ec.EllipticCurvePrivateKey):
        raise TypeError(f"{file.name} is a key of another kind")
    return found


def _pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    form, plain = serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    return key.private_bytes(serialization.Encoding.PEM, form, plain)


def _keep(file: Path, data: bytes, *, secret: bool = False) -> None:
    """Writes a file whole or not at all; a secret one only its owner can read, from its first byte on."""
    part = file.with_suffix(file.suffix + ".part")
    part.unlink(missing_ok=True)
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600 if secret else 0o644)
    with os.fdopen(handle, "wb") as out:
        out.write(data)
    part.replace(file)
