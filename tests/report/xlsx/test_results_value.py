"""The value sheet and its live sums, read back with another library."""

import re
import subprocess
import zipfile
from decimal import Decimal

import openpyxl
import pytest

from intake.model.battery import Chemistry, Price
from intake.model.value import Amount
from intake.report.xlsx.results import write_results_workbook
from tests.changed import replace
from tests.report.builders import result_of
from tests.report.priced import AGM, BATTERIES, priced_result


def read(path, result, **how):
    write_results_workbook(result, path)
    return openpyxl.load_workbook(path, **how)


def rows_of(sheet):
    header, *rows = sheet.iter_rows(values_only=True)
    return [dict(zip(header, row, strict=True)) for row in rows]


def lines_of(book):
    """Return the lines of the summary's sums of value: name, batteries, low, high, without."""
    rows = [row[:5] for row in book["Summary"].iter_rows(values_only=True)]
    first = next(place for place, row in enumerate(rows) if row[0] == "Net value, by grade and road") + 1
    return [row for row in rows[first:] if row[0] and ": re" in row[0]]


@pytest.fixture(scope="module")
def stored(tmp_path_factory):
    return read(tmp_path_factory.mktemp("xlsx") / "r.xlsx", priced_result(), data_only=True)


def test_one_row_for_each_battery_with_both_ends_of_each_road(stored):
    rows = rows_of(stored["Value"])
    assert [one.tag for one in BATTERIES] == [row["Tag"] for row in rows]
    names = [
        f"{road}, {end} (EUR)" for road in ("Resell", "Recondition", "Recycle") for end in ("low", "high")
    ]
    assert [
        [9, 48, None, None, 11, 11],
        [None, None, 8, 44, 14, 14],
        [None, None, 4, 6, 10, 10],
        [None, None, None, None, 5, 5],
        [None] * 6,
        [None] * 6,
    ] == [[row[name] for name in names] for row in rows[1:]]


def test_rows_that_share_a_tag_are_told_apart(tmp_path):
    first, second = (
        replace(one, tag="T-9", row=row) for one, row in zip(BATTERIES[1:3], (9, 10), strict=True)
    )
    rows = rows_of(
        read(tmp_path / "r.xlsx", result_of((first, second), batch={"prices": (AGM,)}), data_only=True)[
            "Value"
        ]
    )

    assert ["T-9 (row 9)", "T-9 (row 10)"] == [row["Tag"] for row in rows]


def test_chance_advice_and_what_is_missing_stand_beside(stored):
    rows = rows_of(stored["Value"])
    chance = "Bench work pays from a chance of (%)"
    assert [None, 5.2, 16.7, None, None, None, None] == [row[chance] for row in rows]
    assert (
        "Not worth reconditioning: EUR 6.00 if it passes, EUR 10.00 as scrap." == rows[3]["Worth the bench"]
    )
    assert "Mass (kg)" == rows[5]["Not given"]
    assert rows[4]["Working"] == "recycle: 10.0 kg × 0.60 scrap price − 1.00 disposal = 5.00"
    assert 2 == len(rows[1]["Working"].splitlines())


def test_sums_are_stored(stored):
    assert [
        ("resale-after-charge: resell", 2, 57, 96, 0),
        ("resale-after-charge: recycle", 2, 22, 22, 0),
        ("reconditionable: recondition", 3, 12, 50, 1),
        ("reconditionable: recycle", 3, 24, 24, 1),
        ("recycle: recycle", 1, 5, 5, 0),
    ] == lines_of(stored)


def test_sums_are_live(tmp_path):
    book = read(tmp_path / "r.xlsx", priced_result())
    line = lines_of(book)[2]
    names = [one.value for one in book["Summary"]["A"]]
    row = names.index("reconditionable: recondition") + 1
    assert (
        "reconditionable: recondition",
        '=COUNTIF(Value!$C$2:$C$8,"reconditionable")',
        f'=IF($B{row}=$E{row},"",SUMIF(Value!$C$2:$C$8,"reconditionable",Value!$G$2:$G$8))',
        f'=IF($B{row}=$E{row},"",SUMIF(Value!$C$2:$C$8,"reconditionable",Value!$H$2:$H$8))',
        '=COUNTIFS(Value!$C$2:$C$8,"reconditionable",Value!$G$2:$G$8,"")',
    ) == line


def test_a_sum_over_no_battery_is_empty_and_no_zero(tmp_path):
    prices = (Price(Chemistry.AGM, "50.00"),)
    lines = lines_of(
        read(tmp_path / "r.xlsx", result_of(BATTERIES[:2], batch={"prices": prices}), data_only=True)
    )

    assert [("resell", 2, 2), ("recycle", 2, 2)] == [(one[0].split(": ")[1], one[1], one[4]) for one in lines]
    assert {None, ""} >= {amount for one in lines for amount in one[2:4]}


def test_how_amounts_were_rounded_stands_below_the_sums(stored):
    texts = [str(row[0]) for row in stored["Summary"].iter_rows(max_col=1, values_only=True)]
    assert any("rounded once, at the end, to 0.01" in text for text in texts)


def expecting(result, row):
    assert result.value is not None
    old = result.value.by_row[row]
    bench = replace(old.roads[0], expected=Amount(Decimal("20.00"), Decimal("21.50")))
    by_row = {**result.value.by_row, row: replace(old, roads=(bench, old.roads[1]))}
    return replace(result, value=replace(result.value, by_row=by_row))


def test_expected_values_have_columns_and_a_line_of_their_own(tmp_path):
    one = BATTERIES[0]
    result = expecting(priced_result(), one.row)
    book = read(tmp_path / "r.xlsx", expecting(result, BATTERIES[1].row), data_only=True)
    row = rows_of(book["Value"])[0]
    assert (20, 21.5) == (row["Expected, low (EUR)"], row["Expected, high (EUR)"])
    name = "resale-after-charge: resell, expected at the site's success rate"
    assert (name, 2, 40, 43, 0) == lines_of(book)[1]


def test_without_a_currency_headers_have_none(tmp_path):
    book = read(tmp_path / "r.xlsx", priced_result(currency=None), data_only=True)
    assert "Resell, low" in [cell.value for cell in book["Value"][1]]
    assert ("resale-after-charge: resell", 2, 57, 96, 0) == lines_of(book)[0]


@pytest.mark.office
def test_an_office_program_reckons_the_same_sums(tmp_path, stored):
    """The stored results are taken out first, so that it has to."""
    written, bare = tmp_path / "r.xlsx", tmp_path / "bare.xlsx"
    write_results_workbook(priced_result(), written)
    with zipfile.ZipFile(written) as old, zipfile.ZipFile(bare, "w") as new:
        for name in old.namelist():
            new.writestr(name, re.sub(rb"</f><v>[^<]*</v>", b"</f>", old.read(name)))
    command = ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless"]
    command += ["--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(tmp_path / "out"), str(bare)]
    subprocess.run(command, check=True, capture_output=True, timeout=600)
    reckoned = openpyxl.load_workbook(tmp_path / "out" / "bare.xlsx", data_only=True)
    assert lines_of(stored) == lines_of(reckoned)
