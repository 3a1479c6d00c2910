"""A quarter at one yard, through the commands as the yard would use them, against the account by hand."""

import csv
import json
import shutil
from itertools import groupby
from pathlib import Path

import openpyxl
import pytest

from intake.cli.main import main
from tests.cli.loads import fill_in
from tests.simple_workbook import BATCH, write_workbook

QUARTER = Path(__file__).parents[1] / "example_batches" / "quarter_at_yard_2"
FIGURES = ("Mass (kg)", "Rated capacity (Ah)", "Rest voltage (V)", "Rested (h)", "Temperature (°C)")
PARTS = ("opening", "came_in", "sold", "shipped", "returned", "on_hand", "difference")
PERIOD = ("--from", "2026-07-01", "--to", "2026-09-30")


def typed(name, folder="typed"):
    with (QUARTER / folder / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def write_batch(folder, batch, *, extra=None, read_on=None):
    """Write one intake workbook as it was typed; ``extra`` adds cells to a tag."""
    rows = []
    for line in typed("batteries"):
        if line.pop("Batch") == batch["Batch"]:
            cells = {**line, **(extra or {}).get(line["Tag"], {})}
            rows.append({key: number(key, value) for key, value in cells.items() if value})
    received = batch["Received"]
    said = {**BATCH, **batch, "Site": "Yard 2", "Read on": read_on or received, "Inspector": "Bench 1"}
    return write_workbook(folder / f"{batch['Batch']}.xlsx", rows, batch=said)


def number(header, value):
    return float(value) if header in FIGURES or header.startswith("Hold") else value


def write_load(yard, name, lines):
    """List what may leave, tick and pack it as typed, and write the load."""
    first = lines[0]
    listed, filled = yard / f"{name}-new.xlsx", yard / f"{name}.xlsx"
    folders = [str(yard / "graded"), str(yard / "loads")]
    (yard / "loads").mkdir(exist_ok=True)
    command = ["load", "new", *folders, "--out", str(listed), "--kind", first["Kind"]]
    assert 0 == main(command)
    head = {"Load": name, "Consignee": first["Consignee"], "Date": first["Date"], "Jurisdiction": "EU"}
    receipt = next((one for one in typed("receipts") if one["Load"] == name), {})
    fill_in(
        listed,
        filled,
        head=head,
        tags=[line["Tag"] for line in lines],
        packages={line["Tag"]: (line["Package"], line["Gross (kg)"]) for line in lines if line["Package"]},
        **{key: value for key, value in receipt.items() if key != "Load"},
    )
    assert 0 == main(["load", "write", str(filled), "--out", str(yard / "loads")])


@pytest.fixture(scope="module")
def yard(tmp_path_factory):
    """Return the yard's folder at the end of the quarter."""
    yard = tmp_path_factory.mktemp("yard")
    out = ("--out", str(yard / "graded"), "--quiet")
    batches = typed("batches")
    for batch in batches:
        assert 0 == main(["grade", str(write_batch(yard, batch)), *out])
    for line in typed("second_readings"):
        batch = next(one for one in batches if one["Batch"] == line["Batch"])
        cells = {key: value for key, value in line.items() if key not in ("Batch", "Tag", "Read on")}
        book = write_batch(yard, batch, extra={line["Tag"]: cells}, read_on=line["Read on"])
        assert 4 == main(["grade", str(book), *out])
        assert 0 == main(["grade", str(book), *out, "--reason", "second readings"])
    loads = typed("loads")
    for name, lines in groupby(loads, key=lambda line: line["Load"]):
        write_load(yard, name, list(lines))
    return yard


@pytest.fixture(scope="module")
def account(yard):
    command = ["summarise", str(yard / "graded"), "--loads", str(yard / "loads"), *PERIOD]
    assert 0 == main([*command, "--out", str(yard / "register"), "--overwrite"])
    (path,) = (yard / "register").glob("*/register.json")
    return json.loads(path.read_text(encoding="utf-8"))["account"]


def test_the_account_closes_to_the_battery_and_the_gram(account):
    lines = {one["title"]: one for one in (account["whole"], *account["by_chemistry"])}
    for expected in typed("account", "expected"):
        title, *figures = expected.values()
        found = lines.pop(title)
        pairs = [(found[part]["count"], round(found[part]["mass_kg"] * 1000)) for part in PARTS]
        assert [int(one) for one in figures] == [figure for pair in pairs for figure in pair], title
    assert {} == lines


def test_what_is_on_hand_begins_with_what_an_auditor_asks_for(account):
    assert [(one["Tag"], int(one["Days"])) for one in typed("on_hand", "expected")] == [
        (one["tag"], one["days"]) for one in account["on_hand"]
    ]


def test_the_receipt_that_does_not_agree_is_named(account):
    assert {"Y2-L-03"} == {one["load"] for one in account["differences"]}
    said = " ".join(one["text"] for one in account["differences"])
    assert "62.100 kg" in said
    assert "62.600 kg" in said
    assert "D-4 had lost its acid" in said


def test_the_second_readings_are_a_revision_that_keeps_the_first(yard):
    folder = yard / "graded" / "Y2-Q3-01"
    now, before = (
        json.loads(path.read_text(encoding="utf-8"))
        for path in (folder / "Y2-Q3-01-results.json", folder / "earlier" / "1" / "Y2-Q3-01-results.json")
    )
    grades = [
        {one["tag"]: one["grade"] for one in document["batteries"]}["A-5"] for document in (before, now)
    ]
    assert ["reconditionable", "resale-after-charge"] == grades
    assert (2, "second readings") == (now["revision"], now["reason"])
    assert {"A-5"} == {one["tag"] for one in now["changes"] if one["tag"]}


def test_the_way_of_a_battery_is_told_to_its_buyer(yard, capsys):
    assert 0 == main(["custody", "a-1", str(yard / "graded"), str(yard / "loads")])
    told = capsys.readouterr().out
    assert "received: flooded from Parts counter" in told
    assert "left: load Y2-S-01, sale, to Buyer 8" in told


def test_the_way_of_a_battery_tells_both_revisions_and_who_read_it(yard, capsys):
    assert 0 == main(["custody", "A-5", str(yard / "graded"), str(yard / "loads")])
    lines = capsys.readouterr().out.splitlines()
    days = [line[:10] for line in lines]
    assert sorted(days) == days
    assert ("2026-07-06", "2026-07-13") == (days[0], days[-1])
    assert any("by Bench 1: 12.86 V, 24 h after charge" in line for line in lines)
    assert any("graded: reconditionable" in line and "revision 1" in line for line in lines)
    assert any("revision 2: second readings (Bench 1)" in line for line in lines)


def test_each_load_lists_its_batteries_for_the_office(yard):
    rows = openpyxl.load_workbook(yard / "loads" / "Y2-L-01" / "Y2-L-01-load.xlsx")["Batteries"]
    assert ["A-2", "B-3", "C-1", "C-3"] == sorted(row[0].value for row in rows.iter_rows(min_row=2))


@pytest.fixture
def closed(yard, account, tmp_path):
    """Return a copy of the yard with its register beside the graded batches."""
    copy = tmp_path / "yard"
    shutil.copytree(yard, copy)
    command = ["summarise", str(copy / "graded"), "--loads", str(copy / "loads"), *PERIOD, "--quiet"]
    assert 0 == main(command)
    return copy


def verified(yard, capsys):
    """Return the exit code of verify and the lines that say what does not stand."""
    capsys.readouterr()
    code = main(["verify", str(yard / "graded"), "--loads", str(yard / "loads"), "--quiet"])
    return code, capsys.readouterr().out


def test_everything_stands_at_the_end_of_the_quarter(closed, capsys):
    assert (0, "") == verified(closed, capsys)


REGISTER = "graded/register-2026-07-01-to-2026-09-30/"
FORGERIES = {
    "a figure in the account": (f"{REGISTER}register.json", b'"mass_kg": 320.7', b'"mass_kg": 320.6'),
    "a byte behind the register": (f"{REGISTER}register.pdf", b"%%EOF", b"%%EOF\n "),
    "a battery of a load": ("loads/Y2-L-01/Y2-L-01-load.json", b'"tag": "A-2"', b'"tag": "A-9"'),
    "the receiver's weight": ("loads/Y2-L-03/Y2-L-03-load.json", b'"weight_kg": 62.1', b'"weight_kg": 62.6'),
    "the digest of a load": ("loads/Y2-L-02/SHA256SUMS", b"  Y2-L-02-load.pdf", b"  Y2-L-02-load.pdg"),
    "an earlier revision": (
        "graded/Y2-Q3-01/earlier/1/Y2-Q3-01-results.json",
        b'"grade": "reconditionable"',
        b'"grade": "recycle"',
    ),
    "the reason of a revision": (
        "graded/Y2-Q3-01/Y2-Q3-01-results.json",
        b'"reason": "second readings"',
        b'"reason": "another meter"',
    ),
}


@pytest.mark.parametrize("forged", FORGERIES)
def test_verify_names_what_was_changed(closed, capsys, forged):
    name, old, new = FORGERIES[forged]
    path = closed / name
    content = path.read_bytes()
    assert old in content
    path.write_bytes(content.replace(old, new, 1))
    code, said = verified(closed, capsys)
    assert 5 == code
    assert path.name in said or path.parent.name in said


def test_verify_names_a_load_that_is_gone_from_the_register(closed, capsys):
    shutil.rmtree(closed / "loads" / "Y2-L-02")
    code, said = verified(closed, capsys)
    assert "1 file that it was made from is not at hand" in said
    assert code in (5, 6)
