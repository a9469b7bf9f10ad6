"""A sweep of the lab gives the same numbers wherever it runs."""

import pytest

from loftbook.desk.lab import sweep as sweeping
from loftbook.desk.lab.answers import chosen
from loftbook.desk.lab.fan import fan_of
from loftbook.desk.lab.mapping import Cluster, Here
from loftbook.errors import LoftbookError

PLAN = "full_out"
AXES = {"statures": [150.0, 160.0], "spins": [100.0], "timings": [10.0, 20.0], "draws": (20, 3)}


def test_a_pool_and_a_cluster_give_the_same_bit_for_bit():
    """Second engine: Dask's own scheduler and worker against this process and against a pool of processes."""
    from distributed import LocalCluster

    alone = sweeping.sweep(PLAN, mapper=Here(1), **AXES)
    assert len(alone["rows"]) == 4
    assert sweeping.sweep(PLAN, mapper=Here(2), **AXES) == alone
    with LocalCluster(n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None) as cluster:
        assert sweeping.sweep(PLAN, mapper=Cluster(cluster.scheduler_address), **AXES) == alone


def test_a_case_is_the_fan_that_the_lab_shows_and_more_scatter_lands_wider():
    found = sweeping.sweep(PLAN, mapper=Here(1), **AXES)
    shown = fan_of(chosen(PLAN, (160.0, "female", 15.0)), {"count": 20, "seed": 3})["bands"]["twist"]
    narrow, wide = found["rows"][2:]
    assert {name: narrow[name] for name in shown} == shown
    assert wide["spread_deg"] > narrow["spread_deg"]


@pytest.mark.parametrize(
    "axes", [{"spins": []}, {"spins": [10.0]}, {"timings": [1e6]}, {"spins": [100.0] * 6000}]
)
def test_a_grid_that_nobody_can_mean_is_refused(axes):
    with pytest.raises(LoftbookError, match="expected"):
        sweeping.sweep(PLAN, mapper=Here(1), **(AXES | axes))


def test_a_cluster_that_is_not_there_is_said_in_a_sentence(monkeypatch):
    monkeypatch.setattr("loftbook.desk.lab.mapping.PATIENCE", 1)
    with pytest.raises(LoftbookError, match="nobody who answers"):
        Cluster("tcp://127.0.0.1:9").map(abs, [1, 2])
