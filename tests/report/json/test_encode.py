"""Any record becomes JSON under the names of its attributes."""

import json
import math
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from typing import NamedTuple

import pytest

from intake.model.battery import Battery, Chemistry, DatePrecision, MadeDate
from intake.model.rules import Rule
from intake.policy.dictionary import load_dictionary
from intake.report.json.encode import document_bytes, json_text, plain, record_document, renamed


class Inner(NamedTuple):
    low_percent: float
    noted: tuple[str, ...] = ()


@dataclass(frozen=True)
class Outer:
    tag: str
    inner: Inner | None
    probability: float


MADE = MadeDate(date(2021, 3, 1), date(2021, 3, 31), DatePrecision.MONTH)


def test_a_record_of_either_kind_keeps_its_names_and_order_and_inner_records_do_too():
    found = record_document(Outer("B-1", Inner(12.345, ("a", "b")), 0.12345678))
    assert {
        "tag": "B-1",
        "inner": {"low_percent": 12.35, "noted": ["a", "b"]},
        "probability": 0.123457,
    } == found
    assert ["tag", "inner", "probability"] == list(found)


def test_an_attribute_is_left_out_or_named_otherwise_only_where_that_is_asked():
    outer = Outer("B-1", None, 0.5)
    assert {"tag": "B-1", "inner": None} == record_document(outer, without=("probability",))
    assert ["label", "inner", "probability"] == list(renamed(record_document(outer), tag="label"))


@pytest.mark.parametrize(
    ("name", "value", "expected"),
    [
        ("state", None, None),
        ("state", True, True),
        ("count", 3, 3),
        ("note", "=1+1", "=1+1"),
        ("chemistry", Chemistry.AGM, "AGM"),
        ("rule", Rule("hold-high"), "hold-high"),
        ("received", date(2026, 11, 20), "2026-11-20"),
        ("start", datetime(2026, 11, 20, 8, 5), "2026-11-20T08:05"),
        ("received_at", time(14, 30), "14:30"),
        ("net", Decimal("1E+1"), "10"),
        ("net", Decimal("-0.10"), "-0.10"),
        ("made", MADE, "2021-03"),
        ("by_chemistry", {Chemistry.LFP: Inner(1.0)}, {"LFP": {"low_percent": 1.0, "noted": []}}),
        ("meter_worth_percent", {"AGM": 1.23456}, {"AGM": 1.23}),
        ("rest_voltage_v", 12.3456789, 12.3456789),
        ("voltage_25c_v", 12.3456789, 12.3457),
        ("measured", 12.3456789, 12.34568),
        ("measured", "not given", "not given"),
    ],
)
def test_a_value_is_written_as_programs_read_it(name, value, expected):
    found = plain(value, name)
    assert expected == found
    assert type(expected) is type(found)


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_figure_that_json_does_not_know_is_refused(value):
    with pytest.raises(ValueError, match="JSON"):
        json_text(plain(value, "voltage_25c_v"))


def test_bytes_end_in_a_newline_and_half_a_character_stays_readable():
    content = document_bytes({"note": "Ω \ud83d"})
    assert content.endswith(b"}\n")
    assert "Ω".encode() in content
    assert {"note": "Ω \ud83d"} == json.loads(content)


def test_every_column_of_the_batteries_is_an_attribute_or_joins_a_list_that_is_one():
    """Else a column would be read and be missing from the results."""
    names = set(Battery._fields)
    columns = load_dictionary().sheets["batteries"].columns
    assert {one.key for one in columns if one.joins is None} <= names
    assert {"hold_readings"} == {one.joins for one in columns if one.joins is not None}
