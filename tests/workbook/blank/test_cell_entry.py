from datetime import date

import pytest

from intake.policy.dictionary import Column, Form, load_dictionary
from intake.workbook.blank.cell_entry import entry_rule

COLUMNS = [column for sheet in load_dictionary().sheets.values() for column in sheet.columns]


def rule(form: Form, **more: object) -> dict[str, object]:
    found = entry_rule(Column("x", "Header", form, "Help.", **more))
    assert found is not None
    return found


@pytest.mark.parametrize("column", COLUMNS, ids=lambda column: column.header)
def test_no_rule_stops_what_the_reader_would_take(column: Column) -> None:
    found = entry_rule(column)
    if column.form in (Form.TEXT, Form.PARTIAL_DATE, Form.TIME, Form.DATE_TIME):
        assert found is None
    else:
        assert "warning" == found["error_type"]
        assert len(found["error_message"]) <= 255
        assert len(found["error_title"]) <= 32


@pytest.mark.parametrize(
    ("limits", "expected"),
    [
        ({"minimum": -20, "maximum": 20}, {"criteria": "between", "minimum": -20, "maximum": 20}),
        ({"exclusive_minimum": 0, "maximum": 300}, {"criteria": "between", "minimum": 0, "maximum": 300}),
        ({"exclusive_minimum": 0}, {"criteria": ">", "value": 0}),
        ({"minimum": 0}, {"criteria": ">=", "value": 0}),
    ],
)
def test_a_number_is_held_against_its_limits_and_the_message_names_them(
    limits: dict[str, float], expected: dict[str, object]
) -> None:
    found = rule(Form.NUMBER, unit="V", **limits)
    assert "decimal" == found["validate"]
    assert expected == {key: found[key] for key in expected}
    assert "in V, " in str(found["error_message"])
    assert all(str(limit) in str(found["error_message"]) for limit in limits.values())


def test_a_choice_offers_its_list() -> None:
    found = rule(Form.CHOICE, choices=("yes", "no"))
    assert ("list", ["yes", "no"]) == (found["validate"], found["source"])
    assert "yes, no" in str(found["error_message"])


def test_a_date_is_one_of_this_or_the_next_century() -> None:
    found = rule(Form.DATE)
    assert ("date", date(2000, 1, 1), date(2199, 12, 31)) == (
        found["validate"],
        found["minimum"],
        found["maximum"],
    )


def test_an_amount_is_any_number() -> None:
    assert "decimal" == rule(Form.MONEY)["validate"]


def test_a_name_has_a_length_and_a_tag_stands_only_once() -> None:
    name = Column("x", "Header", Form.IDENTIFIER, "Help.", max_length=32)
    assert "length" == entry_rule(name)["validate"]
    once = entry_rule(name, first_cell="A5", cells="$A$5:$A$404")
    assert "=AND(COUNTIF($A$5:$A$404,A5)=1,LEN(A5)<=32)" == once["value"]
    assert "Help." == once["error_message"]
