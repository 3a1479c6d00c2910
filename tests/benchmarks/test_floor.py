"""The floor of the benchmarks draws as much as the documents that it stands for."""

import json
import runpy
import sys

import pytest

from intake.cli.main import main
from tests.benchmarks.amounts import amounts_of
from tests.benchmarks.pallets import write_pallet


@pytest.fixture(scope="module")
def graded(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bench")
    book = write_pallet(folder / "pallet.xlsx", batteries=50, batch="P")
    assert 0 == main(["grade", str(book), "--out", str(folder), "--quiet"])
    return folder


def test_a_pallet_has_as_many_batteries_as_asked_for_each_with_a_tag_of_its_own(graded):
    batteries = json.loads((graded / "P" / "P-results.json").read_bytes())["batteries"]
    assert 50 == len(batteries) == len({one["tag"] for one in batteries})


def test_the_floor_has_the_same_pages_strings_cells_and_values(graded, monkeypatch):
    wanted = amounts_of(graded / "P", batteries=50)
    amounts, floor = graded / "amounts.json", graded / "floor"
    amounts.write_text(json.dumps(wanted), encoding="utf-8")
    floor.mkdir()
    monkeypatch.setattr(sys, "argv", ["floor.py", str(graded / "pallet.xlsx"), str(amounts), str(floor)])
    runpy.run_module("tests.benchmarks.floor", run_name="__main__")
    drawn = amounts_of(floor, batteries=50)

    assert wanted["cells"] == drawn["cells"] > 1000
    assert wanted["values"] == drawn["values"] > 1000
    assert wanted["pdf"].keys() == drawn["pdf"].keys()
    for name, amount in wanted["pdf"].items():
        assert amount["pages"] == drawn["pdf"][name]["pages"]
        codes = 50 if name.endswith("-labels.pdf") else 0  # a Code 128 has its text below it
        assert amount["strings"] <= drawn["pdf"][name]["strings"] <= amount["strings"] + codes
