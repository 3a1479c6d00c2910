import pytest

from intake.model.finding import Finding, Severity, in_sheet_order


def finding(message="", **fields):
    return Finding(Severity.WARNING, message, "", **fields)


@pytest.mark.parametrize(
    ("fields", "place"),
    [
        ({"sheet": "Batteries", "cell": "F12"}, "Batteries!F12"),
        ({"sheet": "Batteries"}, "Batteries"),
        ({"cell": "F12"}, "F12"),
        ({}, "workbook"),
    ],
)
def test_a_finding_names_its_sheet_and_cell_or_the_workbook(fields, place):
    assert place == finding(**fields).place


def test_findings_come_by_sheet_then_row_then_column():
    told = [
        finding("e", sheet_order=2, row=1, column=1),
        finding("d", sheet_order=1, row=3, column=1),
        finding("c", sheet_order=1, row=2, column=9),
        finding("b", sheet_order=1, row=2, column=3),
        finding("a"),
    ]
    assert ["a", "b", "c", "d", "e"] == [one.message for one in in_sheet_order(told)]


def test_findings_of_one_cell_keep_the_order_in_which_they_were_found():
    told = [finding(name, sheet_order=1, row=2, column=3) for name in ("z", "a", "m")]
    assert ["z", "a", "m"] == [one.message for one in in_sheet_order(told)]
