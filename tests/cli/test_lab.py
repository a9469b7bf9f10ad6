"""`loftbook lab` from a terminal: the same numbers as the browser gets, and plans that come back from files."""

import json

import pytest
from typer.testing import CliRunner

from loftbook.cli.app import app
from loftbook.desk.lab.answers import answer_fan, answer_fly
from loftbook.desk.lab.link import code_of
from loftbook.desk.lab.planned import Person, plan_as_json
from loftbook.desk.lab.presets import preset_plan


@pytest.fixture
def run():
    def go(*words):
        return CliRunner().invoke(app, ["lab", *words])

    return go


def test_every_number_of_the_browser_comes_out_of_the_terminal(run):
    plan = plan_as_json(preset_plan("full_out", Person(1.45, "female", 11.0)))
    said = run("fly", "full_out", "--stature-cm", "145", "--age", "11", "--frames", "9", "--json")
    assert json.loads(said.stdout) == json.loads(json.dumps(answer_fly({"plan": plan, "frames": 9})))
    said = run("fan", "full_out", "--stature-cm", "145", "--age", "11", "--count", "40", "--json")
    assert json.loads(said.stdout) == json.loads(json.dumps(answer_fan({"plan": plan, "count": 40})))


def test_a_saved_plan_flies_the_same_from_file_and_link(run, tmp_path):
    file = tmp_path / "plan.json"
    first = run("fly", "double_pike", "--frames", "3", "--save", str(file), "--json")
    again = run("fly", str(file), "--frames", "3", "--json")
    code = code_of(preset_plan("double_pike", Person()))
    linked = run("fly", f"http://localhost:8642/lab?plan={code}", "--frames", "3", "--json")
    assert first.stdout == again.stdout == linked.stdout


def test_forgiving_says_how_far_it_is_and_what_it_found(run, tmp_path):
    file = tmp_path / "found.json"
    said = run("forgive", "barani_out", "--starts", "4", "--save", str(file), "--json")
    assert "100% Done" in said.stderr
    found = json.loads(said.stdout)
    assert found["plan"] == json.loads(file.read_text(encoding="utf-8"))
    assert found["spread_deg"]["after"] > 0


@pytest.mark.parametrize("plan", ["nothing-of-that-name", "p1.torn", __file__])
def test_what_is_no_plan_is_a_sentence(run, plan):
    said = run("fly", plan)
    assert said.exit_code != 0
    assert "What to do" in str(said.exception)


def test_a_card_is_written(run, tmp_path):
    file = tmp_path / "card.pdf"
    said = run("card", "full_in", "--to", str(file))
    assert said.exit_code == 0, said.exception
    # standard: ISO 32000, a PDF begins with these letters
    assert file.read_bytes()[:5] == b"%PDF-"


def test_presets_are_listed_with_their_notation(run):
    said = run("presets")
    assert "8 – 2 o" in said.stdout
    assert len(json.loads(run("presets", "--json").stdout)["presets"]) == 10
