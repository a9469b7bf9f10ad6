"""The measuring itself: medians, ratios, targets. No test here depends on how fast the machine is."""

import json
from time import sleep

import pytest
from benchmarks.__main__ import as_json, line_of, main
from benchmarks.registry import Row, bench, median_of, ratio_of, registered


def test_a_nap_is_measured_as_at_least_a_nap():
    assert median_of(lambda: sleep(0.01), repeats=3) >= 0.01


def test_the_median_forgets_one_slow_call():
    naps = iter([0.0, 0.3, 0.0, 0.0])  # the first only warms up
    assert median_of(lambda: sleep(next(naps)), repeats=3) < 0.1


def test_twenty_naps_take_longer_than_one():
    assert ratio_of(lambda: sleep(0.02), lambda: sleep(0.001), repeats=3) > 2


@pytest.mark.parametrize(
    ("value", "target", "verdict"), [(9, 10, "within"), (11, 10, "over"), (11, None, "")]
)
def test_a_target_is_the_most_that_it_should_be(value, target, verdict):
    assert Row("page", value, "ms", target).verdict == verdict


def test_rows_in_table_and_json():
    one = bench("page", "a page")(list)
    row = Row("inventory", 12.0, "ms", target=100.0)
    assert line_of(row).split() == ["inventory", "12", "ms", "target", "100", "ms:", "within"]
    told = json.loads(as_json([(one, [row])]))
    assert told["benchmarks"][0]["rows"][0]["verdict"] == "within"
    assert told["machine"]["cores"]


def test_names_are_unlike_and_an_unknown_one_is_told(capsys):
    names = [one.name for one in registered()]
    assert len(names) == len(set(names)) > 0
    with pytest.raises(SystemExit):
        main(["no-such-benchmark"])
    assert names[0] in capsys.readouterr().err
