"""Being reached in the hall: an authority that can speak for nobody else, three doors that are really there."""

import asyncio
import datetime
import http.client
import ipaddress
import json
import shutil
import socket
import ssl
import stat
import subprocess
import sys
import time
from contextlib import closing

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from tests.conftest import apart, step_aside
from tests.desk import gym
from tests.web.test_killed import free_port

from loftbook.errors import LoftbookError
from loftbook.web.hall.authority import papers
from loftbook.web.hall.listening import bound

NOW = datetime.datetime.now(datetime.UTC)


@pytest.fixture
def made(tmp_path):
    return papers(tmp_path / "c", ["192.168.1.7"], NOW)


def verified(tmp_path, leaf, authority):
    """What OpenSSL, another program, says of a certificate."""
    openssl = shutil.which("openssl")
    if openssl is None:
        step_aside("openssl is not on this machine; it is the second opinion on certificates.")
    (tmp_path / "ca.pem").write_bytes(
        x509.load_der_x509_certificate(authority).public_bytes(serialization.Encoding.PEM)
    )
    command = [
        openssl,
        "verify",
        "-x509_strict",
        "-purpose",
        "sslserver",
        "-CAfile",
        tmp_path / "ca.pem",
        leaf,
    ]
    return subprocess.run(command, capture_output=True, text=True, check=False)


def test_openssl_accepts_the_laptop(made, tmp_path):
    done = verified(tmp_path, made.certificate, made.authority)
    assert done.returncode == 0, done.stderr


def foreign(folder, name):
    """A certificate for another host, signed with the stolen key."""
    key = serialization.load_pem_private_key((folder / "authority.key").read_bytes(), None)
    authority = x509.load_pem_x509_certificate((folder / "authority.crt").read_bytes())
    own = ec.generate_private_key(ec.SECP256R1())
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "x")]))
        .issuer_name(authority.subject)
        .public_key(own.public_key())
        .serial_number(7)
        .not_valid_before(NOW - datetime.timedelta(hours=1))
        .not_valid_after(NOW + datetime.timedelta(days=9))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.SubjectAlternativeName([name]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.public_key()), critical=False
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(own.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    file = folder / "foreign.crt"
    file.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    return file


# RFC 5280, section 4.2.1.10: names outside the permitted subtrees are not acceptable.
@pytest.mark.parametrize(
    ("name", "accepted"),
    [
        (x509.DNSName("bank.example"), False),
        (x509.DNSName("other.local"), False),
        (x509.IPAddress(ipaddress.ip_address("203.0.113.5")), False),
        (x509.DNSName("loftbook.local"), True),
        (x509.IPAddress(ipaddress.ip_address("10.0.0.9")), True),
    ],
)
def test_a_stolen_key_can_speak_for_nobody_else(made, tmp_path, name, accepted):
    done = verified(tmp_path, foreign(tmp_path / "c", name), made.authority)
    assert (done.returncode == 0) is accepted, done.stderr
    assert accepted or "permitted subtree violation" in done.stderr


def test_keys_can_be_read_by_their_owner_only(made, tmp_path):
    for name in ("authority.key", "laptop.key"):
        assert stat.S_IMODE((tmp_path / "c" / name).stat().st_mode) == 0o600


def test_the_certificate_is_renewed_before_it_is_over_and_the_authority_stays(made, tmp_path):
    first = made.certificate.read_bytes()
    assert (
        papers(tmp_path / "c", ["192.168.1.7"], NOW + datetime.timedelta(days=300)).certificate.read_bytes()
        == first
    )
    later = papers(tmp_path / "c", ["192.168.1.7"], NOW + datetime.timedelta(days=380))
    assert later.certificate.read_bytes() != first
    assert later.authority == made.authority
    leaf = x509.load_pem_x509_certificate(later.certificate.read_bytes())
    # Apple: certificates of more than 825 days are refused. From memory.
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc < datetime.timedelta(days=825)


def test_a_new_address_gets_a_new_certificate(made, tmp_path):
    first = made.certificate.read_bytes()
    again = papers(tmp_path / "c", ["192.168.1.8"], NOW)
    assert again.certificate.read_bytes() != first
    names = x509.load_pem_x509_certificate(again.certificate.read_bytes()).extensions
    held = names.get_extension_for_class(x509.SubjectAlternativeName).value
    assert held.get_values_for_type(x509.DNSName) == ["loftbook.local"]
    assert "10.42.0.1" in {str(ip) for ip in held.get_values_for_type(x509.IPAddress)}


@pytest.mark.parametrize("name", ["authority.key", "authority.crt", "laptop.crt", "laptop.key"])
def test_a_spoiled_file_is_a_sentence(made, tmp_path, name):
    (tmp_path / "c" / name).write_bytes(b"spoiled")
    with pytest.raises(LoftbookError, match="move that folder away"):
        papers(tmp_path / "c", ["192.168.1.7"], NOW)


@pytest.fixture
def hall(tmp_path):
    """The real command with its three doors."""
    book = tmp_path / "a.book"
    gym.gym_desk(book=str(book)).store.close()
    ports = [free_port() for _ in range(3)]
    options = [
        f
        for pair in zip(("--port", "--hall-port", "--open-port"), map(str, ports), strict=True)
        for f in pair
    ]
    command = [sys.executable, "-m", "loftbook.cli", "serve", "--hall", "--book", str(book), *options]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    until = time.monotonic() + 90
    while time.monotonic() < until and process.poll() is None:
        try:
            for port in ports:
                socket.create_connection(("127.0.0.1", port), timeout=2).close()
            break
        except OSError:
            time.sleep(0.05)
    yield ports, book
    process.terminate()
    process.wait(20)


def asked(line, path, host):
    with closing(line):
        line.request("GET", path, headers={"Host": host})
        answer = line.getresponse()
        return answer.status, answer.headers, answer.read()


def test_three_doors_and_what_each_opens(hall):
    (near, far, plain), book = hall
    authority = (book.with_name("a.book.certificates") / "authority.crt").read_text()
    trust = ssl.create_default_context(cadata=authority)

    def secure(path):
        line = http.client.HTTPSConnection("127.0.0.1", far, timeout=20)
        bare = socket.create_connection(("127.0.0.1", far), timeout=20)
        line.sock = trust.wrap_socket(bare, server_hostname="loftbook.local")
        return asked(line, path, f"loftbook.local:{far}")

    told = json.loads(
        asked(http.client.HTTPConnection("127.0.0.1", near), "/api/device", f"localhost:{near}")[2]
    )
    assert told["role"] == "head_coach"
    told = json.loads(secure("/api/device")[2])
    assert (told["role"], told["secure"], told["here"]) == (None, True, False)
    assert secure("/api/squad")[0] == 401
    line = http.client.HTTPConnection("127.0.0.1", plain)
    _, headers, body = asked(line, "/hello/loftbook-ca.crt", f"loftbook.local:{plain}")
    assert body == ssl.PEM_cert_to_DER_cert(authority)
    assert headers["content-type"] == "application/x-x509-ca-cert"


@apart
def test_an_answer_leaves_at_once():
    """TCP holds a small packet back for the one before it (RFC 896), some 40 ms on each answer, unless told not to."""
    told = []

    class Door(asyncio.Protocol):
        def connection_made(self, transport):
            there = transport.get_extra_info("socket")
            told.append(bool(there.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)))
            transport.close()

    async def visited(listener):
        server = await asyncio.get_running_loop().create_server(Door, sock=listener)
        reader, writer = await asyncio.open_connection(*listener.getsockname())
        await reader.read()
        writer.close()
        await writer.wait_closed()
        server.close()
        await server.wait_closed()

    with bound("127.0.0.1", 0, "--port") as listener:
        asyncio.run(visited(listener))
    assert told == [True]
