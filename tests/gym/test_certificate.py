"""The hall's own https in a real browser: the shell is kept, the page comes back without a server.

Chromium is told to accept this laptop's key (`--ignore-certificate-errors-spki-list`), since adding our authority
to its own store needs a program that is not everywhere; that the authority's chain holds is OpenSSL's to say, in
tests/web/test_hall.py. A certificate of another key is still refused.
"""

import base64
import hashlib
import signal
import socket
import subprocess
import sys
import time
from contextlib import ExitStack, contextmanager

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from tests.gym.thumb import DID, TRIED, Thumb


@contextmanager
def serving(book, ports):
    """The real command with its three doors; killed like a flat battery at the end."""
    options = [
        str(word)
        for pair in zip(("--port", "--hall-port", "--open-port"), ports, strict=True)
        for word in pair
    ]
    command = [sys.executable, "-m", "loftbook.cli", "serve", "--hall", "--book", str(book), *options]
    said = book.with_name("serve.log")
    with said.open("wb") as log:
        process = subprocess.Popen(command, stdout=log, stderr=subprocess.STDOUT)
    try:
        for port in ports:
            wait_for(port, process, said)
        yield
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait(20)


def wait_for(port, process, said, seconds=120):
    """Until the door is open; says what the command said where it ended or took too long."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        assert process.poll() is None, said.read_text()
        try:
            socket.create_connection(("127.0.0.1", port), timeout=2).close()
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise AssertionError(f"nobody listens at {port} after {seconds} s: {said.read_text()}")


def three_free_ports():
    """Asked for together: one after the other the same port may come twice."""
    with ExitStack() as held:
        found = [held.enter_context(socket.socket()) for _ in range(3)]
        for one in found:
            one.bind(("127.0.0.1", 0))
        return [one.getsockname()[1] for one in found]


def key_of(certificate):
    """The fingerprint of a certificate's key (RFC 7469, section 2.4), as Chromium's option takes it."""
    key = x509.load_pem_x509_certificate(certificate.read_bytes()).public_key()
    encoded = key.public_bytes(serialization.Encoding.DER, serialization.PublicFormat.SubjectPublicKeyInfo)
    return base64.b64encode(hashlib.sha256(encoded).digest()).decode()


@pytest.fixture
def tablet(chromium, tmp_path):
    """A tablet in the hall that knows the name loftbook.local, and trusts one key or none."""
    kind, started = chromium
    opened = []

    def opening(name, trusted):
        options = ["--host-resolver-rules=MAP loftbook.local 127.0.0.1"]
        options += [f"--ignore-certificate-errors-spki-list={trusted}"] if trusted else []
        made = kind.launch_persistent_context(
            str(tmp_path / name),
            executable_path=started["executable_path"],
            args=[*started["args"], *options],
            viewport={"width": 360, "height": 740},
            has_touch=True,
        )
        opened.append(made)
        return Thumb(made.pages[0], made)

    yield opening
    for one in opened:
        one.close()


def test_with_our_certificate_the_page_works_without_a_server(hall, tablet):
    place = hall(children=6)
    ports = three_free_ports()
    address = f"https://loftbook.local:{ports[1]}"
    with serving(place.book, ports):
        stranger = tablet("stranger", "")
        with pytest.raises(Exception, match="ERR_CERT_AUTHORITY_INVALID"):
            stranger.page.goto(f"{address}/gym")
        trusted = key_of(place.book.with_name(place.book.name + ".certificates") / "laptop.crt")
        thumb = tablet("tablet", trusted)
        thumb.page.goto(f"{address}/pair#{place.ticket('tablet 1').secret}")  # as its camera reads it
        thumb.page.wait_for_url("**/gym", timeout=60_000)
        thumb.page.wait_for_selector("[data-result]", timeout=60_000)
        assert thumb.page.evaluate("isSecureContext")
        (cookie,) = thumb.context.cookies()
        assert (cookie["name"], cookie["secure"], cookie["httpOnly"]) == ("__Host-lb", True, True)
        assert cookie["sameSite"] == "Strict"
        assert "#" not in thumb.page.url
        thumb.kept_by_the_browser()
        thumb.write(DID, "nobody_in")
        thumb.all_sent()
    thumb.page.reload()
    thumb.page.wait_for_selector("[data-result]", timeout=60_000)
    thumb.write(TRIED, "", "short")
    assert thumb.waiting() == 1
    with serving(place.book, ports):
        thumb.all_sent(seconds=120)
    assert sorted(one.outcome.value for one in place.in_force()) == ["did_it", "tried"]
