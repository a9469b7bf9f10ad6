"""Forty devices that send at once, as at the end of a round: every record once, and how long each waits.

A real server on loopback; each device has a connection and a token of its own and
sends batches of one to six records, all of them let go at the same moment, round after
round. The answer's time is what the device sees, from sending to the last byte.
"""

from __future__ import annotations

import http.client
import json
import socket
import tempfile
import threading
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

import uvicorn

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
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP) as listening:
        listening.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", ws="none", access_log=False))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            sleep(0.02)
        yield listening.getsockname()[1], tokens
        server.should_exit = True
        thread.join(10)


def all_at_once(book: Path, rounds: int = ROUNDS) -> Sent:
    """Every device sends in each round at the same moment; the devices run in a process of their own."""
    desk = filled(book)
    with serving(desk) as (port, tokens), ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        begun = process_time()
        waited, statuses, made = pool.submit(devices, port, tokens, rounds).result()
        work = 1e3 * (process_time() - begun) / rounds
    with desk.store.read() as connection:
        kept = {str(a.id) for a in attempts.attempts_of_camp(connection, CAMP, all=True)}
    desk.store.close()
    return Sent(tuple(waited), tuple(statuses), len(made), len(kept & made), work)


def devices(port: int, tokens: list[str], rounds: int) -> tuple[list[float], list[str], set[str]]:
    """Forty threads, let go at the same moment in each round."""
    waited: list[float] = []
    statuses: list[str] = []
    made: set[str] = set()
    ready = threading.Barrier(len(tokens))

    def device(number: int, token: str) -> None:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        line.connect()
        batches = records(number, Random(number))
        headers = {"Content-Type": "application/json", "Cookie": f"{cookie_of(Door.OPEN)}={token}"}
        for _ in range(rounds):
            batch = next(batches)
            made.update(str(record["id"]) for record in batch)
            body = json.dumps({"sent_at": datetime.now(UTC).isoformat(), "records": batch})
            ready.wait()
            begun = perf_counter()
            line.request("POST", "/api/sync", body, headers)
            told = json.loads(line.getresponse().read())
            waited.append(1e3 * (perf_counter() - begun))
            statuses.extend(answer["status"] for answer in told["answers"])
        line.close()

    threads = [threading.Thread(target=device, args=(n, token)) for n, token in enumerate(tokens)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return waited, statuses, made


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
