"""The lab's kernels are made beside the pages: nobody waits for them, and a server that ends does not either."""

from loftbook.web import warming


def test_it_runs_beside_and_ends_with_the_server(monkeypatch):
    ran = []
    monkeypatch.setattr(warming, "warm_up", lambda: ran.append(True))
    timer = warming.begin_warming(0.01)
    assert timer.daemon
    timer.join(5)
    assert ran == [True]
