"""The simulator's own honesty: seeded, apart from the engine and its policy, its truth never written down."""

import ast
import random
from dataclasses import fields
from pathlib import Path

import openpyxl
import pytest

from tests.simulation.fit import Truth
from tests.simulation.graded import Study
from tests.simulation.intake_workbook import CAPACITY, REST, SETS, write_intake
from tests.simulation.meter import FINE, PLAIN
from tests.simulation.population import RETURNS, STRIPPED, draw_pallet

HERE = Path(__file__).parent


def sources() -> list[Path]:
    return sorted(path for path in HERE.glob("*.py") if not path.name.startswith("test_"))


@pytest.mark.parametrize("path", sources(), ids=lambda path: path.stem)
def test_nothing_comes_from_the_engine_or_its_policy(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    imported = {
        name
        for node in ast.walk(tree)
        if isinstance(node, ast.Import | ast.ImportFrom)
        for name in (
            [node.module or ""] if isinstance(node, ast.ImportFrom) else [a.name for a in node.names]
        )
    }
    texts = {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    assert not [name for name in imported if name.split(".")[0] == "intake"]
    assert not [text for text in texts if isinstance(text, str) and "grading-policy" in text]


def test_the_same_study_draws_the_same_pallets_and_more_leave_the_first_as_they_are() -> None:
    few = dict(Study(RETURNS, FINE, 50).pallets())
    more = dict(Study(RETURNS, FINE, 100).pallets())
    assert few["P001"] == more["P001"]
    assert more["P002"] != more["P001"]
    other = dict(Study(RETURNS, FINE, 50, seed=1).pallets())
    assert other["P001"] != few["P001"]


def test_populations_settling_and_meters_change_what_they_say_and_no_more() -> None:
    usual = dict(Study(RETURNS, FINE, 50).pallets())["P001"]
    slow = dict(Study(RETURNS, FINE, 50, settling=2.5).pallets())["P001"]
    coarse = dict(Study(RETURNS, PLAIN, 50).pallets())["P001"]
    assert [one.specimen.truth for one in usual] == [one.specimen.truth for one in slow]
    assert [one.specimen for one in usual] == [one.specimen for one in coarse]
    higher = [b.holds[1].volts > a.holds[1].volts for a, b in zip(usual, slow, strict=True)]
    assert sum(higher) > 30


def test_pallets_hold_every_worth_and_every_fault() -> None:
    drawn = draw_pallet(RETURNS, 1500, random.Random(5))
    worths = [one.truth.worth for one in drawn]
    faults = {fault for one in drawn for fault in one.truth.faults}
    assert 0.45 < worths.count("sound") / len(worths) < 0.65
    assert 0.08 < worths.count("middling") / len(worths) < 0.25
    assert faults == {"short", "leak", "broken connection", "dead protection circuit"}
    stripped = draw_pallet(STRIPPED, 500, random.Random(5))
    assert sum(one.truth.fit for one in stripped) / 500 < 0.40


@pytest.mark.parametrize(
    ("truth", "worth"),
    [
        (Truth(0.80, 0.75, frozenset()), "sound"),
        (Truth(0.799, 0.75, frozenset()), "middling"),
        (Truth(0.80, 0.749, frozenset()), "middling"),
        (Truth(0.80, None, frozenset()), "sound"),
        (Truth(0.599, 1.0, frozenset()), "unfit"),
        (Truth(1.0, 0.499, frozenset()), "unfit"),
        (Truth(1.0, 1.0, frozenset({"leak"})), "unfit"),
    ],
)
def test_fit_is_what_the_contract_says(truth: Truth, worth: str) -> None:
    assert truth.worth == worth
    assert truth.fit == (worth == "sound")


def test_the_workbook_says_what_was_read_and_nothing_else(tmp_path: Path) -> None:
    benches = dict(Study(RETURNS, FINE, 50).pallets())["P001"]
    for number, wanted in enumerate(SETS):
        path = write_intake(tmp_path / f"{number}.xlsx", benches, wanted, batch="T-1", meter=FINE)
        book = openpyxl.load_workbook(path)
        cells = [str(c.value).lower() for sheet in book for row in sheet.iter_rows() for c in row]
        told = {"fit", "sound battery", "unfit", "middling", "leak", *(field.name for field in fields(Truth))}
        assert not told & set(cells)
        headers = [cell.value for cell in book["Batteries"][1]]
        assert ("Measured CCA (A)" in headers) == wanted.cranking
        assert ("Delivered capacity (Ah)" in headers) == wanted.capacity
        assert ("Load voltage (V)" in headers) == wanted.load


def test_sets_share_their_readings(tmp_path: Path) -> None:
    benches = dict(Study(RETURNS, FINE, 50).pallets())["P001"]
    columns = []
    for wanted in (REST, CAPACITY):
        path = write_intake(tmp_path / f"{wanted.name}.xlsx", benches, wanted, batch="T-1", meter=FINE)
        sheet = openpyxl.load_workbook(path)["Batteries"]
        headers = [cell.value for cell in sheet[1]]
        columns.append([row[headers.index("Rest voltage (V)")].value for row in sheet.iter_rows(min_row=2)])
    assert columns[0] == columns[1]
    assert len(columns[0]) == 50
