"""Prices from the workbook to the documents: shown where they are given, and never in a grade."""

import json

import pytest

from intake.cli.main import main
from tests.simple_workbook import BATCH, CRACKED, FLAT, GOOD, UNKNOWN, write_workbook

ROWS = [{**one, "Mass (kg)": 15} for one in (GOOD, FLAT, CRACKED, UNKNOWN)]
PRICE = {
    "Chemistry": "flooded",
    "Resale price": 28,
    "Scrap price per kg": "0,60",
    "Recondition cost": 4.5,
    "Charge cost": 1.1,
    "Disposal cost": 0,
}


def graded(folder, prices, *options):
    workbook = write_workbook(
        folder / "w.xlsx",
        ROWS,
        batch={**BATCH, "Currency": "EUR"},
        sheets={"Prices": prices} if prices else {},
    )
    assert 0 == main(["grade", str(workbook), "--out", str(folder / "out"), "--quiet", *options])
    return json.loads((folder / "out" / "T-1" / "T-1-results.json").read_bytes())


def test_roads_follow_the_grades(tmp_path):
    batteries = graded(tmp_path, [PRICE])["batteries"]
    assert [
        [("resell", "7.90", "26.90"), ("recycle", "9.00", "9.00")],
        [("recondition", "4.50", "23.50"), ("recycle", "9.00", "9.00")],
        [("recycle", "9.00", "9.00")],
        [],
    ] == [
        [(road["road"], road["net"]["low"], road["net"]["high"]) for road in one["value"]["roads"]]
        for one in batteries
    ]


@pytest.mark.parametrize("prices", [None, [PRICE], [{**PRICE, "Resale price": 1, "Scrap price per kg": 99}]])
def test_money_changes_no_grade_and_no_reason(tmp_path, prices):
    told = [(one["grade"], one["reasons"], one["next_step"]) for one in graded(tmp_path, prices)["batteries"]]
    assert ["resale-after-charge", "reconditionable", "recycle", "unresolved"] == [
        grade for grade, _, _ in told
    ]
    (tmp_path / "free").mkdir()
    free = graded(tmp_path / "free", None)["batteries"]
    assert told == [(one["grade"], one["reasons"], one["next_step"]) for one in free]


def test_without_prices_nothing_is_told(tmp_path):
    document = graded(tmp_path, None)
    assert document["values"] is None
    assert {None} == {one["value"] for one in document["batteries"]}


def test_the_site_s_own_success_rates_give_expected_values(tmp_path, capsys):
    assert 0 == main(["policy"])
    policy = json.loads(capsys.readouterr().out)
    rate = {"value": 0.4, "unit": "1", "source": "Own count over 2026", "status": "site choice"}
    policy["bench"]["recondition_success"] = {"flooded": rate}
    file = tmp_path / "site.json"
    file.write_text(json.dumps(policy), encoding="utf-8")
    document = graded(tmp_path, [PRICE], "--policy", str(file))
    bench = document["batteries"][1]["value"]["roads"][0]
    assert {"low": "12.10", "high": "12.10"} == bench["expected"]  # 0.4 x 23.50 + 0.6 x 4.50
    assert document["batteries"][0]["value"]["roads"][0]["expected"] is None


def test_verify_computes_values_anew(tmp_path, capsys):
    document = graded(tmp_path, [PRICE])
    assert 0 == main(["verify", str(tmp_path / "out"), "--workbooks", str(tmp_path)])
    document["batteries"][1]["value"]["roads"][0]["net"]["low"] = "4.51"
    file = tmp_path / "out" / "T-1" / "T-1-results.json"
    file.write_text(json.dumps(document), encoding="utf-8")
    capsys.readouterr()
    assert 5 == main(["verify", str(tmp_path / "out"), "--workbooks", str(tmp_path)])
    assert 'value/roads/0/net/low: "4.51" instead of "4.50"' in capsys.readouterr().out
