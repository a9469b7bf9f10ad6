"""A hall for the tests: a book on the disk, a real server that can be killed, a line that can be cut.

Run as a program, `python -m tests.gym.hall`, it reads Loftbook once and then forks off a server for each hall that
wants one: reading it anew for every hall costs more than most of the tests do.
"""

import atexit
import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import cache
from pathlib import Path
from uuid import UUID

from loftbook.book.access import Role
from loftbook.book.attempts import Attempt
from loftbook.book.devices import Pairing
from loftbook.book.identity import same_fact
from loftbook.book.people import Athlete, Camp, Name
from loftbook.desk import Desk
from loftbook.desk.devices import Ticket, offer, shut_out
from loftbook.desk.opening import open_desk
from loftbook.store import attempts, camps, devices, people

ROOT = Path(__file__).resolve().parents[2]
# Invented, as everybody in the tests.
NAMES = (
    "Mira Ayla Bo Cem Dara Edda Finja Greta Hedda Ina Jonna Kaja Lotte Malin Nele Oona Pia Quinn Runa Svea "
    "Tilda Una Vera Wanja"
).split()
CAMP = same_fact("gym camp")


@dataclass
class Line:
    """A line between browser and server that can be cut, or that loses answers after they were given."""

    upstream: int
    port: int = 0
    cut: bool = False
    refuse: bool = False  # batches only
    lose: int = 0  # so many answers to a batch are lost after the server has given them
    batches: list[bytes] = field(default_factory=list)
    _listener: socket.socket | None = None

    def start(self) -> None:
        self._listener = socket.create_server(("127.0.0.1", self.port))
        self.port = self._listener.getsockname()[1]
        threading.Thread(target=self._accept, daemon=True).start()

    def stop(self) -> None:
        if self._listener:
            self._listener.close()

    def _accept(self) -> None:
        listener = self._listener
        assert listener is not None
        while True:
            try:
                client, _ = listener.accept()
            except OSError:
                return
            threading.Thread(target=self._carry, args=(client,), daemon=True).start()

    def _carry(self, client: socket.socket) -> None:
        with client:
            client.settimeout(20)
            try:
                asked = read_message(client)
                batch = asked.startswith(b"POST /api/sync")
                if self.cut or not asked or (batch and self.refuse):
                    return
                # One request for each connection keeps this short.
                head, _, body = asked.partition(b"\r\n\r\n")
                kept = [row for row in head.split(b"\r\n") if not row.lower().startswith(b"connection:")]
                with socket.create_connection(("127.0.0.1", self.upstream), timeout=20) as server:
                    server.sendall(b"\r\n".join([*kept, b"Connection: close"]) + b"\r\n\r\n" + body)
                    answer = b"".join(iter(lambda: server.recv(65536), b""))
                if batch:
                    self.batches.append(body)
                    if self.lose:
                        self.lose -= 1
                        return
                if not self.cut:
                    client.sendall(answer)
            except OSError:
                return


def read_message(client: socket.socket) -> bytes:
    """One HTTP request: its head and as much body as the head says."""
    got = b""
    while b"\r\n\r\n" not in got:
        more = client.recv(65536)
        if not more:
            return b""
        got += more
    head, _, body = got.partition(b"\r\n\r\n")
    length = 0
    for row in head.split(b"\r\n"):
        if row.lower().startswith(b"content-length:"):
            length = int(row.split(b":")[1])
    while len(body) < length:
        body += client.recv(65536)
    return head + b"\r\n\r\n" + body


@dataclass
class Hall:
    """A book with an invented squad, and its server."""

    book: Path
    children: int = 24
    door: str = "laptop"
    port: int = 0
    process: int | None = None
    line: Line | None = None

    def __post_init__(self) -> None:
        with socket.create_server(("127.0.0.1", 0)) as free:
            self.port = free.getsockname()[1]
        self.desk: Desk = open_desk(str(self.book))
        kids = [
            Athlete(id=same_fact("gym child", name), names=(Name(name, "Moss"),), invented=True)
            for name in NAMES[: self.children]
        ]
        self.ids = {kid.names[0].given: kid.id for kid in kids}
        with self.desk.store.write() as connection:
            people.add_athletes(connection, kids)
            camps.add_camp(connection, the_camp(self.desk.ladder.edition))
            camps.expect(connection, CAMP, {kid.id: str(bib) for bib, kid in enumerate(kids, 1)})

    @property
    def address(self) -> str:
        return f"http://localhost:{self.line.port if self.line else self.port}"

    def start(self) -> None:
        """Start the server and wait until it answers."""
        self.process = starter().ask([str(self.book), self.port, self.door])
        until = time.monotonic() + 60
        while time.monotonic() < until:
            try:
                with urllib.request.urlopen(f"http://localhost:{self.port}/api/device", timeout=5):
                    return
            except (urllib.error.URLError, OSError):
                time.sleep(0.05)
        raise AssertionError("the server did not start within a minute")

    def kill(self) -> None:
        """End the server as a flat battery would."""
        if self.process:
            starter().ask(self.process)
            self.process = None

    def through_a_line(self) -> Line:
        """Put a line between browser and server."""
        self.line = Line(self.port)
        self.line.start()
        return self.line

    def close(self) -> None:
        self.kill()
        if self.line:
            self.line.stop()
        self.desk.store.close()

    def in_force(self) -> list[Attempt]:
        """The attempts of the camp that count."""
        with self.desk.store.read() as connection:
            return list(attempts.attempts_of_camp(connection, CAMP))

    def ticket(self, name: str, *, second: bool = False) -> Ticket:
        """A code for an entry device."""
        pairing = Pairing(Role.ENTRY, name=name, rater="H. Coach", second=second, camp=CAMP)
        return offer(self.desk, pairing)

    def shut_everybody_out(self) -> None:
        with self.desk.store.read() as connection:
            known: list[UUID] = [one.id for one in devices.devices(connection)]
        for one in known:
            shut_out(self.desk, one)


def the_camp(edition: str) -> Camp:
    today = datetime.now(UTC).date()
    return Camp(
        id=CAMP,
        name="Spring camp",
        starts=date(today.year, today.month, today.day),
        ends=today,
        edition=edition,
        place="Saltmarsh hall",
        bed="bed A",
        raters=("H. Coach",),
        invented=True,
        recorded=datetime.now(UTC),
    )


class Starter:
    """The program that forks servers off, as this process talks to it."""

    def __init__(self) -> None:
        path = os.pathsep.join([str(ROOT / "src"), str(ROOT)])
        self.program = subprocess.Popen(
            [sys.executable, "-m", "tests.gym.hall"],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": path},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def ask(self, what: list[str | int] | int) -> int:
        """The number of a new process for [book, port, door]; a number back kills that process."""
        assert self.program.stdin
        assert self.program.stdout
        print(json.dumps(what), file=self.program.stdin, flush=True)
        return int(self.program.stdout.readline())

    def end(self) -> None:
        self.program.communicate(timeout=10)


@cache
def starter() -> Starter:
    """One for all halls of this process."""
    made = Starter()
    atexit.register(made.end)
    return made


def fork_servers() -> None:
    """Until nobody asks any more; what is left then is killed."""
    from loftbook.web import create_app

    first = open_desk(":memory:")
    create_app(first)  # what is made once, such as the table of routes, is made here
    first.store.close()
    running: set[int] = set()
    for line in sys.stdin:
        asked = json.loads(line)
        if isinstance(asked, int):
            end(process := asked)
            running.remove(process)
        elif process := os.fork():
            running.add(process)
        else:
            os.dup2(2, 1)  # what a server prints is no answer
            serve(*asked)
            os._exit(0)
        print(process, flush=True)
    for process in running:
        end(process)


def end(process: int) -> None:
    """As a flat battery would."""
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)


def serve(book: str, port: int, door: str) -> None:
    """The real app on this port, reached through one of its doors."""
    import uvicorn

    from loftbook.web import create_app
    from loftbook.web.access import Door, at_door
    from loftbook.web.hall.address import Hall as Listening

    hall = Listening(("localhost", "127.0.0.1"))
    app = create_app(open_desk(book), hall=None if door == "laptop" else hall)
    uvicorn.run(at_door(app, Door(door)), port=port, log_level="warning", access_log=False, ws="none")


if __name__ == "__main__":
    fork_servers()
