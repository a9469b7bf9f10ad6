"""Several devices, thousands of operations, every fault of the network: the book against a simple model.

The model is a dictionary of what was first said under each id. It knows nothing of
SQL, batches or order: whatever the network did, the book must hold exactly that.
"""

import json
import os
from collections import Counter
from datetime import timedelta

from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, initialize, invariant, multiple, rule
from tests.desk import gym

from loftbook.book.access import Role
from loftbook.book.attempts import in_force
from loftbook.book.devices import Pairing
from loftbook.desk.devices import device_of, let_in, offer, shut_out
from loftbook.desk.intake import Intake
from loftbook.desk.standing import remake_all, up_to_date
from loftbook.desk.sync import Batch, take_in_all
from loftbook.desk.waiting_file import take_in_file
from loftbook.store import attempts, received, standings

EXAMPLES = int(os.environ.get("LOFTBOOK_SYNC_EXAMPLES", "25"))
STEPS = 80
SHRINK = os.environ.get("LOFTBOOK_SYNC_SHRINK") == "1"  # a shorter story of a failure; takes minutes
OUTCOMES = ("did_it", "tried", "not_tried", "stopped", "declined", "not_allowed", "absent")


class Tablet:
    """A device as the entry screen is: an outbox, a history, a clock of its own."""

    def __init__(self, desk, number, ahead):
        self.desk, self.number, self.ahead = desk, number, timedelta(seconds=ahead)
        self.outbox: dict[str, dict] = {}
        self.made: list[dict] = []
        self.pair()

    def pair(self):
        ticket = offer(
            self.desk, Pairing(Role.ENTRY, rater=f"Coach {self.number}", name=f"tablet {self.number}")
        )
        self.token = let_in(self.desk, secret=ticket.secret).token

    @property
    def device(self):
        found = device_of(self.desk, self.token)
        return found if found.stands(self.desk.clock()) else None

    def time(self):
        return (self.desk.clock() + self.ahead).isoformat()

    def write(self, record):
        self.outbox[record["id"]] = record
        self.made.append(record)


class Gym(RuleBasedStateMachine):
    """What can happen in a gym."""

    tablets = Bundle("tablets")
    turns = Bundle("turns")  # ids of attempts that some device made

    @initialize()
    def open(self):
        self.clock = gym.Clock()
        self.desk = gym.gym_desk(self.clock)
        self.intake = Intake(self.desk)
        self.all: list[Tablet] = []
        self.count = 0
        self.facts: dict[str, dict] = {}  # the model: what was first said under each id
        self.other: set[str] = set()  # what came under a known id with another content

    def number(self):
        self.count += 1
        return self.count

    @rule(target=tablets, ahead=st.sampled_from([0, 20, -10_000, 86_400 * 3, -86_400 * 20_000]))
    def a_tablet_comes(self, ahead):
        if len(self.all) >= 5:
            return multiple()
        self.all.append(Tablet(self.desk, len(self.all), ahead))
        return self.all[-1]

    @rule(
        target=turns,
        tablet=tablets,
        child=st.sampled_from(gym.CHILDREN),
        rung=st.sampled_from(gym.RUNGS),
        outcome=st.sampled_from(OUTCOMES),
        second=st.booleans(),
        turn=st.integers(1, 4),
    )
    def a_turn_is_seen(self, tablet, child, rung, outcome, second, turn):
        record = gym.attempt(
            self.number(),
            athlete=str(child),
            rung=rung,
            outcome=outcome,
            help="nobody_in" if outcome == "did_it" else "",
            at=tablet.time(),
            rater=f"Coach {tablet.number}",
            turn=turn,
            second=second,
        )
        tablet.write(record)
        return record

    @rule(target=turns, tablet=tablets, wrong=turns, outcome=st.sampled_from(OUTCOMES))
    def somebody_corrects(self, tablet, wrong, outcome):
        more = {"id": str(gym.record_id(self.number())), "outcome": outcome, "replaces": wrong["id"]}
        help_ = "hand_light" if outcome == "did_it" else ""
        record = wrong | more | {"help": help_, "at": tablet.time(), "rater": f"Coach {tablet.number}"}
        tablet.write(record)
        return record

    @rule(tablet=tablets, wrong=turns)
    def somebody_takes_back(self, tablet, wrong):
        tablet.write(gym.withdrawal(self.number(), wrong["id"], at=tablet.time()))

    @rule(seconds=st.integers(1, 90_000))
    def time_passes(self, seconds):
        self.clock.go(seconds=seconds)

    @rule(
        tablet=tablets,
        chance=st.randoms(use_true_random=False),
        fault=st.sampled_from(["", "", "reply lost", "cut"]),
    )
    def a_tablet_sends(self, tablet, chance, fault):
        if tablet.device is None or fault == "cut":
            return  # refused at the door, or nothing arrives: all stays in the outbox
        waiting = list(tablet.outbox.values())
        chance.shuffle(waiting)
        some = waiting[: chance.randint(0, len(waiting))]
        answers = self.send(tablet, some)
        if fault != "reply lost":
            self.forget(tablet, some, answers)

    @rule(tablet=tablets, chance=st.randoms(use_true_random=False))
    def an_old_batch_comes_again(self, tablet, chance):
        if tablet.device is not None and tablet.made:
            again = [chance.choice(tablet.made) for _ in range(chance.randint(1, 6))]
            self.send(tablet, again + again[:2])

    @rule(tablet=tablets, chance=st.randoms(use_true_random=False))
    def two_tablets_at_once(self, tablet, chance):
        """Both in one write, as the laptop does when they come together."""
        other = chance.choice(self.all)
        both = [one for one in (tablet, other) if one.device is not None]
        batches = [Batch(list(one.outbox.values()), device=one.device) for one in both]
        taken = take_in_all(self.desk, batches)
        records = [record for batch in batches for record in batch.records]
        self.compare(records, [answer for one in taken for answer in one.answers])

    @rule(tablet=tablets, turn=turns)
    def an_id_is_used_again(self, tablet, turn):
        if tablet.device is not None:
            self.send(tablet, [turn | {"note": f"another content {self.number()}"}])

    @rule(tablet=tablets)
    def a_tablet_is_shut_out(self, tablet):
        if tablet.device is not None:
            shut_out(self.desk, tablet.device.id)
            assert tablet.device is None

    @rule(tablet=tablets)
    def a_tablet_is_let_in_again(self, tablet):
        if tablet.device is None:
            tablet.pair()

    @rule(tablet=tablets)
    def a_file_is_taken_in(self, tablet):
        """Works for a tablet that was shut out, too; the file may come and the tablet send as well."""
        records = list(tablet.outbox.values())
        data = json.dumps({"kind": "loftbook-waiting", "version": 1, "records": records}).encode()
        answers = take_in_file(self.desk, data, "waiting.json").answers
        self.compare(records, answers)

    def compare(self, records, answers):
        """Which of two copies of a record in one batch is called the repeat says nothing."""
        got = [answer.status for answer in answers]
        assert counted(records, got) == counted(records, self.expect(records))

    def send(self, tablet, records):
        sent_at = self.clock() + tablet.ahead
        answers = self.intake.take_in(Batch(records, device=tablet.device, sent_at=sent_at)).answers
        self.compare(records, answers)
        assert [answer.id for answer in answers] == [record["id"] for record in records]
        return answers

    def forget(self, tablet, records, answers):
        for record, answer in zip(records, answers, strict=True):
            if answer.status != "refused":
                tablet.outbox.pop(record["id"], None)
            else:
                assert answer.again, answer  # in this gym only what it needs can be missing

    def expect(self, records):
        """The model's answers: the first content under an id is the fact; what it needs must be there or come along."""
        found = [""] * len(records)
        progress = True
        while progress:
            progress = False
            for place, record in enumerate(records):
                if found[place]:
                    continue
                needs = record.get("replaces") or record.get("attempt")
                if record["id"] not in self.facts and needs and needs not in self.facts:
                    continue
                # Of two contents of one id in a batch the earlier is decided first, unless it still waits.
                found[place] = self.decide(record)
                progress = True
        return [status or "refused" for status in found]

    def decide(self, record):
        known = self.facts.get(record["id"])
        if known is None:
            self.facts[record["id"]] = record
            return "stored"
        if known == record:
            return "duplicate"
        self.other.add(json.dumps(record, sort_keys=True))
        return "conflict"

    @invariant()
    def the_book_holds_the_model(self):
        with self.desk.store.read() as connection:
            every = attempts.attempts_of_camp(connection, gym.CAMP, all=True)
            back = attempts.withdrawals_of(connection, [a.id for a in every])
            inside = attempts.attempts_of_camp(connection, gym.CAMP)
        told = {i: r for i, r in self.facts.items() if r["kind"] == "attempt"}
        taken = {i: r for i, r in self.facts.items() if r["kind"] == "withdrawal"}
        assert {str(a.id): content(a) for a in every} == {i: said(r) for i, r in told.items()}
        assert {str(w.id): str(w.attempt) for w in back} == {i: r["attempt"] for i, r in taken.items()}
        gone = {r.get("replaces") for r in told.values()} | {r["attempt"] for r in taken.values()}
        assert {str(a.id) for a in inside} == set(told) - gone
        assert {a.id for a in inside} == {a.id for a in in_force(every, back)}

    def teardown(self):
        """Everybody is let in again and sends all: nothing waits any more, nothing is doubled."""
        if not hasattr(self, "desk"):
            return
        for _ in range(3):
            for tablet in self.all:
                if tablet.device is None:
                    tablet.pair()
                waiting = list(tablet.outbox.values())
                self.forget(tablet, waiting, self.send(tablet, waiting))
        assert [tablet.outbox for tablet in self.all] == [{} for _ in self.all]
        made = {record["id"] for tablet in self.all for record in tablet.made}
        assert set(self.facts) == made
        self.the_book_holds_the_model()
        self.clocks_were_put_right()
        with up_to_date(self.desk) as connection:
            aside = received.aside(connection)
            before = standings.standings_of_camp(connection, gym.CAMP)
        kept = [json.dumps(row.record, sort_keys=True) for row in aside if row.verdict == "conflict"]
        assert sorted(kept) == sorted(self.other)
        remake_all(self.desk)
        with self.desk.store.read() as connection:
            assert standings.standings_of_camp(connection, gym.CAMP) == before
        self.desk.store.close()

    def clocks_were_put_right(self):
        """No time that is used lies in the future or before the camp, whatever the clocks said."""
        with self.desk.store.read() as connection:
            every = attempts.attempts_of_camp(connection, gym.CAMP, all=True)
        for one in every:
            assert gym.STARTS - timedelta(days=2) < one.at <= self.clock() + timedelta(seconds=90)


def counted(records, statuses):
    return Counter((json.dumps(record), status) for record, status in zip(records, statuses, strict=True))


def content(a):
    help_ = a.help.key if a.help else ""
    return (str(a.athlete), a.rung, a.outcome.value, help_, a.rater, a.turn, a.second, str(a.replaces or ""))


def said(r):
    keys = ("athlete", "rung", "outcome", "help", "rater", "turn", "second")
    return (*(r[key] for key in keys), r.get("replaces", ""))


TestGym = Gym.TestCase
TestGym.settings = settings(
    max_examples=EXAMPLES,
    stateful_step_count=STEPS,
    deadline=None,
    phases=(Phase.explicit, Phase.reuse, Phase.generate, Phase.shrink) if SHRINK else (Phase.generate,),
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
