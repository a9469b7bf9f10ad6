"""Forty devices that send at once, as at the end of a round: every record once, and how long each waits.

A real server on loopback, set up as in the hall; each device has a connection and a token of
its own and sends batches of one to six records, all of them let go at the same moment, round
after round. The answer's time is what the device sees, from its first byte sent to the last
byte of the answer. All devices live in one process of their own, which does nothing between
but wait for sockets, so that what is measured is the server and not the queue of its guests.
"""

from __future__ import annotations

import json
import selectors
import socket
import tempfile
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from multiprocessing import get_context
from pathlib import Path
from random import Random
from time import perf_counter, process_time, sleep
from uuid import UUID

from benchmarks.registry import Row, bench
from loftbook.book.access import Role
from loftbook.book.devices import Pairing
from loftbook.book.identity import same_fact, uuid7
from loftbook.book.people import Athlete, Camp, Name
from loftbook.desk import Desk
from loftbook.desk.devices import allow_guests, let_in, offer
from loftbook.desk.opening import open_desk
from loftbook.store import attempts, camps, people
from loftbook.web.access import Door, at_door, cookie_of
from loftbook.web.app import create_app
from loftbook.web.hall.address import Hall
from loftbook.web.hall.listening import beside, bound, server_of

DEVICES, ROUNDS, CHILDREN = 40, 12, 24
LIMIT = 200.0  # ms, p95; asked of two cores
RUNGS = ("double_tuck", "double_pike", "double_open_tuck")
CAMP = same_fact("bench camp")


@dataclass(frozen=True)
class Sent:
    """What the devices saw: the time of each answer in ms, and how many records were made.

    `work` is what the server itself did for one round, in ms of a core: it says the same on a busy machine.
    """

    waited: tuple[float, ...]
    statuses: tuple[str, ...]
    made: int
    kept: int
    work: float


def filled(book: Path) -> Desk:
    """A camp with invented children, in a file as on a laptop."""
    desk = open_desk(book)
    with desk.store.write() as connection:
        children = [
            Athlete(child(n), (Name(f"Given{n}", f"Family{n}"),), invented=True) for n in range(CHILDREN)
        ]
        people.add_athletes(connection, children)
        today = datetime.now(UTC).date()
        camps.add_camp(connection, Camp(CAMP, "Bench", today, today, desk.ladder.edition, invented=True))
        for place in range(8):  # earlier camps, so that pairs of camps have to be counted as in a used book
            then = date(2020, 1, 1).replace(year=2016 + place)
            made = Camp(same_fact("before", str(place)), f"Before {place}", then, then, "one", invented=True)
            camps.add_camp(connection, made)
    return desk


def child(number: int) -> UUID:
    return same_fact("bench child", str(number))


def records(device: int, chance: Random) -> Iterator[list[dict[str, object]]]:
    """Batch after batch of one device."""
    number = 0
    while True:
        batch = []
        for _ in range(chance.randint(1, 6)):
            number += 1
            now = datetime.now(UTC)
            batch.append(
                {
                    "kind": "attempt",
                    "id": str(uuid7(now, seed=f"{device} {number}".encode())),
                    "camp": str(CAMP),
                    "athlete": str(child(chance.randrange(CHILDREN))),
                    "rung": chance.choice(RUNGS),
                    "outcome": "did_it",
                    "help": "nobody_in",
                    "at": now.isoformat(),
                    "rater": f"Coach {device}",
                    "turn": number,
                }
            )
        yield batch


@contextmanager
def serving(desk: Desk) -> Iterator[tuple[int, list[str]]]:
    """A server as guests reach it, and a token for each device."""
    allow_guests(desk, allowed=True)
    tokens = [
        let_in(desk, secret=offer(desk, Pairing(Role.ENTRY)).secret, guest=True).token for _ in range(DEVICES)
    ]
    app = at_door(create_app(desk, hall=Hall(("127.0.0.1",))), Door.OPEN)
    server = server_of(app)
    with bound("127.0.0.1", 0, "--port") as listening, beside(server, listening):
        while not server.started:
            sleep(0.02)
        yield listening.getsockname()[1], tokens


def all_at_once(book: Path, rounds: int = ROUNDS) -> Sent:
    """Every device sends in each round at the same moment; the devices run in a process of their own."""
    desk = filled(book)
    with serving(desk) as (port, tokens), ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        pool.submit(devices, port, tokens, 1, seed=1).result()  # what is imported at the first request
        begun = process_time()
        waited, statuses, made = pool.submit(devices, port, tokens, rounds).result()
        work = 1e3 * (process_time() - begun) / rounds
    with desk.store.read() as connection:
        kept = {str(a.id) for a in attempts.attempts_of_camp(connection, CAMP, all=True)}
    desk.store.close()
    return Sent(tuple(waited), tuple(statuses), len(made), len(kept & made), work)


def devices(
    port: int, tokens: list[str], rounds: int, *, seed: int = 0
) -> tuple[list[float], list[str], set[str]]:
    """Forty lines, each with its next batch written out before all are let go."""
    waited: list[float] = []
    statuses: list[str] = []
    made: set[str] = set()
    batches = [records(number, Random(f"{seed} {number}")) for number in range(len(tokens))]
    lines = [socket.create_connection(("127.0.0.1", port), timeout=60) for _ in tokens]
    for _ in range(rounds):
        requests = []
        for token, batch in zip(tokens, map(next, batches), strict=True):
            made.update(str(record["id"]) for record in batch)
            requests.append(request_of(token, batch))
        for took, answer in let_go(lines, requests):
            waited.append(took)
            statuses.extend(one["status"] for one in json.loads(answer)["answers"])
    for line in lines:
        line.close()
    return waited, statuses, made


def request_of(token: str, batch: list[dict[str, object]]) -> bytes:
    """A batch as it goes over the line."""
    body = json.dumps({"sent_at": datetime.now(UTC).isoformat(), "records": batch}).encode()
    head = (
        f"POST /api/sync HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n"
        f"Cookie: {cookie_of(Door.OPEN)}={token}\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    return head.encode() + body


def let_go(lines: list[socket.socket], requests: list[bytes]) -> list[tuple[float, bytes]]:
    """Sends every request, then waits for all answers: how long each took in ms, and its body."""
    begun: dict[socket.socket, float] = {}
    coming = dict.fromkeys(lines, b"")
    told: list[tuple[float, bytes]] = []
    with selectors.DefaultSelector() as selector:
        for line in lines:
            selector.register(line, selectors.EVENT_READ, line)
        for line, request in zip(lines, requests, strict=True):
            begun[line] = perf_counter()
            line.sendall(request)
        while len(told) < len(lines):
            ready = selector.select(60)
            if not ready:
                raise TimeoutError(
                    f"{len(lines) - len(told)} of {len(lines)} devices had no answer in a minute"
                )
            for key, _ in ready:
                line = key.data
                coming[line] += line.recv(65536)
                body = whole(coming[line])
                if body is not None:
                    told.append((1e3 * (perf_counter() - begun[line]), body))
    return told


def whole(answer: bytes) -> bytes | None:
    """The body of an answer; None while some of it is still to come."""
    head, found, body = answer.partition(b"\r\n\r\n")
    length = int(head.lower().partition(b"content-length:")[2].partition(b"\r\n")[0] or 0)
    return body if found and len(body) == length else None


@bench(
    "entry",
    "40 devices that send at once: how long each waits for its answer, and whether each record is there once",
)
def forty_at_once() -> list[Row]:
    """The answers of a real server, with the devices on the same cores. State the machine's load beside it."""
    with tempfile.TemporaryDirectory() as folder:
        sent = all_at_once(Path(folder) / "bench.book")
    waited = sorted(sent.waited)
    p95 = waited[int(0.95 * len(waited))]
    return [
        Row("median answer", waited[len(waited) // 2], "ms"),
        Row("95th of 100 answers", p95, "ms", target=LIMIT),
        Row("slowest answer", waited[-1], "ms"),
        Row("the server's own work for 40 batches, of one core", sent.work, "ms"),
        Row("records sent", float(sent.made), ""),
        Row("records that are not in the book once", float(sent.made - sent.kept), "", target=0.0),
    ]
