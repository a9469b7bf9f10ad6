"""A server that is killed with -9 in the middle of a batch, again and again: nothing lost, nothing doubled.

The killed process stands for a laptop whose battery dies; what the operating system
had been told to keep is there afterwards (docs of SQLite, synchronous = FULL).
"""

import http.client
import json
import os
import signal
import socket
import threading
import time
from random import Random

from tests.desk import gym
from tests.gym.hall import starter

from loftbook.desk.opening import open_desk
from loftbook.store import attempts

KILLS = 4


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return found.getsockname()[1]


def serve(book, port):
    """A process of its own with the real app on this port; answers with its number."""
    process = starter().ask([str(book), port, "laptop"])
    until = time.monotonic() + 60
    while time.monotonic() < until:
        try:
            with socket.create_connection(("127.0.0.1", port), timeout=1):
                return process
        except OSError:
            time.sleep(0.02)
    raise AssertionError("the server did not start")


def send(port, records):
    """The answers of the server; None where it died before it answered."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
    try:
        line.request(
            "POST", "/api/sync", json.dumps({"records": records}), {"Content-Type": "application/json"}
        )
        answer = line.getresponse()
        return json.loads(answer.read())["answers"] if answer.status == 200 else None
    except (OSError, http.client.HTTPException, ValueError):
        return None
    finally:
        line.close()


def test_a_server_killed_in_the_middle_of_batches(tmp_path):
    book, port, chance = tmp_path / "a.book", free_port(), Random(4)
    gym.gym_desk(book=str(book)).store.close()
    outbox = {
        record["id"]: record
        for record in (
            gym.attempt(n, athlete=str(gym.CHILDREN[n % 4]), rung=gym.RUNGS[n % 3], turn=n // 12 + 1)
            for n in range(216)
        )
    }
    made, acknowledged = set(outbox), set()
    for _ in range(KILLS):
        process = serve(book, port)
        try:
            send(port, [])  # warm
            killer = threading.Timer(chance.uniform(0.0, 0.25), os.kill, [process, signal.SIGKILL])
            killer.start()
            while killer.is_alive() and outbox:
                some = chance.sample(list(outbox.values()), min(12, len(outbox)))
                for answer in send(port, some) or []:
                    assert answer["status"] in ("stored", "duplicate")
                    acknowledged.add(answer["id"])
                    outbox.pop(answer["id"])
            killer.join()
        finally:
            starter().ask(process)
        in_the_book = ids(book)
        assert acknowledged <= in_the_book, "a result that was acknowledged is lost"
    process = serve(book, port)
    try:
        for answer in send(port, list(outbox.values())) or []:
            outbox.pop(answer["id"])
    finally:
        starter().ask(process)
    assert outbox == {}
    assert ids(book) == made


def ids(book):
    desk = open_desk(str(book))
    with desk.store.read() as connection:
        found = [str(a.id) for a in attempts.attempts_of_camp(connection, gym.CAMP, all=True)]
    assert desk.store.damage() == ()
    desk.store.close()
    assert len(found) == len(set(found))
    return set(found)
