"""results.json under its schema, with everything the documents show."""

import json
import math

import jsonschema
import pytest

from intake.model.battery import MadeDate
from intake.model.finding import Finding, Severity
from intake.policy.dictionary import load_dictionary
from intake.policy.resources import resource_text
from intake.report.json.results import results_document, results_parts
from intake.report.words.actions import step_in_full
from tests.changed import replace
from tests.report.builders import (
    CYRILLIC,
    GREEK,
    battery,
    held,
    many_batteries,
    mixed_batteries,
    mixed_result,
    result_of,
)

SCHEMA = json.loads(resource_text("schemas", "results.schema.json"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def written(result):
    return b"".join(results_parts(result))


@pytest.fixture(scope="module")
def document():
    return json.loads(written(mixed_result()))


def entry(document, tag):
    (found,) = (one for one in document["batteries"] if one["tag"] == tag)
    return found


def test_the_schema_is_one():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("count", [1, 48, 400])
def test_the_document_is_valid(count):
    document = json.loads(written(result_of(many_batteries(count))))

    assert [] == [error.message for error in VALIDATOR.iter_errors(document)]
    assert count == len(document["batteries"])


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("schema",), "intake-results/2"),
        (("source", "sha256"), "ABC"),
        (("batch", "received"), "20.11.2026"),
        (("batteries", 0, "grade"), "A"),
        (("batteries", 0, "evidence"), "some"),
        (("batteries", 0, "stream"), "lead-acid-wet"),
        (("batteries", 0, "reasons"), []),
        (("batteries", 0, "reasons", 0, "probability"), 1.01),
        (("batteries", 0, "state_of_charge", "high_percent"), 100.5),
        (("totals", "by_grade", "recycle", "count"), -1),
        (("totals", "by_grade", "good"), {"count": 1, "mass_kg": 1.0}),
        (("findings", 0, "severity"), "fatal"),
    ],
)
def test_the_schema_refuses_what_the_contract_does_not_allow(document, place, value):
    changed = json.loads(json.dumps(document))
    holder = changed
    for key in place[:-1]:
        holder = holder[key]
    holder[place[-1]] = value

    assert not VALIDATOR.is_valid(changed)


@pytest.mark.parametrize(
    "place",
    [
        ("policy",),
        ("totals", "by_grade", "unresolved"),
        ("totals", "mass_estimated_kg"),
        ("batteries", 0, "held_charge"),
        ("batteries", 0, "reasons", 0, "source"),
        ("findings", 0, "hint"),
    ],
)
def test_the_schema_misses_each_key_of_the_contract(document, place):
    changed = json.loads(json.dumps(document))
    holder = changed
    for key in place[:-1]:
        holder = holder[key]
    del holder[place[-1]]

    assert not VALIDATOR.is_valid(changed)


def test_further_keys_are_allowed(document):
    assert VALIDATOR.is_valid({**document, "added": {"later": True}})


def test_a_recycle_battery_needs_a_stream(document):
    changed = json.loads(json.dumps(document))
    entry(changed, "B-007")["stream"] = None

    assert not VALIDATOR.is_valid(changed)


def test_bytes_are_utf8_with_letters_as_they_are_and_a_newline_at_the_end():
    content = written(mixed_result())

    assert content.endswith(b"}\n")
    assert GREEK in content.decode("utf-8")
    assert CYRILLIC in content.decode("utf-8")


def test_half_a_surrogate_pair_does_not_stop_the_writing():
    content = written(result_of([battery(1, rest_voltage_v=12.7, note="\ud83d half")]))

    assert "\ud83d half" == json.loads(content)["batteries"][0]["note"]


def test_no_number_is_without_a_value():
    bad = replace(
        mixed_result(), figures=replace(mixed_result().figures, meter_worth_percent=(("AGM", math.nan),))
    )

    with pytest.raises(ValueError, match="JSON"):
        written(bad)


def test_the_pieces_join_to_the_indented_document():
    result = mixed_result()
    whole = json.dumps(results_document(result), ensure_ascii=False, indent=1)

    assert f"{whole}\n" == written(result).decode()
    assert b'"findings": [],' in written(replace(result, findings=()))


def test_the_same_result_gives_the_same_bytes():
    assert written(mixed_result()) == written(result_of(mixed_batteries(), findings=mixed_result().findings))


def test_every_field_of_the_batch_sheet_is_there_under_its_key(document):
    keys = {column.key for column in load_dictionary().sheets["batch"].columns}

    assert keys == set(document["batch"]) - {"latest_reading"}
    assert "2026-11-20" == document["batch"]["received"]
    assert "2026-12-15" == document["batch"]["ship_date"]


def test_every_column_of_the_batteries_sheet_is_there(document):
    one = entry(document, "B-001")
    keys = {column.key for column in load_dictionary().sheets["batteries"].columns}
    joined = {f"hold_{end}_{what}" for end in ("start", "end") for what in ("v", "after_h", "read_at")}

    assert keys - joined <= set(one) | set(one["readings"])
    assert "hold_readings" in one["readings"]


def test_readings_are_as_they_were_written(document):
    untimed = {"read_at": None, "read_by": None}
    assert [
        {"after_charge_h": 0.5, "voltage_v": 13.318, "temperature_c": 21.0, **untimed},
        {"after_charge_h": 1.0, "voltage_v": 13.283, "temperature_c": 21.0, **untimed},
    ] == entry(document, "B-013")["readings"]["hold_readings"]
    assert 12.2 == entry(document, "B-013")["readings"]["rest_voltage_v"]
    assert [1.265, 1.26, 1.21, 1.262, 1.265, 1.26] == entry(document, "B-019")["readings"]["specific_gravity"]
    assert [2.0, 2.03, 2.05, 2.02] == entry(document, "B-011")["readings"]["cell_voltages_v"]


def test_the_date_of_manufacture_keeps_its_precision(document):
    assert isinstance(mixed_batteries()[0].made, MadeDate)
    assert "2023-04" == entry(document, "B-001")["made"]
    assert "2021" == entry(document, "B-003")["made"]
    assert entry(document, "B-012")["made"] is None


def test_the_hold_of_the_worked_example(document):
    """AGM, 13.318 V at 0.5 h and 13.283 V at 1 h: b* 0.0520; at 21 degC 6 mV above 13.118."""
    held_charge = entry(document, "B-013")["held_charge"]

    assert 13.124 == pytest.approx(held_charge["voltage_25c_v"], abs=0.001)
    assert 1.0 == held_charge["after_h"]
    assert 100 == held_charge["value_percent"]


def test_a_battery_without_hold_has_no_held_charge_and_one_without_voltage_no_charge(document):
    assert entry(document, "B-001")["held_charge"] is None
    assert 12.7175 == entry(document, "B-001")["state_of_charge"]["voltage_25c_v"]
    assert entry(document, "B-008")["state_of_charge"] is None


def test_self_discharge_has_its_interval():
    one = held(1, "flooded", (24.0, 12.70), (192.0, 12.62))
    loss = results_document(result_of([one]))["batteries"][0]["self_discharge"]

    assert loss["low"] < loss["percent_per_month"] < loss["high"]


def test_the_decisive_reason_stands_first_and_the_others_follow(document):
    reasons = entry(document, "B-016")["reasons"]

    assert ["hold-drop-unclear", "hold-drop-high", "hold-unclear"] == [one["rule"] for one in reasons]
    assert "unresolved" == reasons[0]["effect"]
    assert 0.1 == reasons[0]["limit"]
    assert reasons[0]["limit_to_be_sure"] < reasons[0]["measured"]
    assert "V" == reasons[0]["unit"]


def test_numbers_are_rounded_to_what_they_are_worth(document):
    """12.6 V at 20 degC is 12.6075 V at 25; binary rests like 12.717500000000001 do not show."""
    for one in document["batteries"]:
        for reason in one["reasons"]:
            for value in (reason["measured"], reason["limit"], reason["probability"]):
                assert len(str(value)) <= 40 if isinstance(value, str) else len(repr(value)) <= 10


def test_totals_are_the_sums_of_the_batteries(document):
    totals = document["totals"]
    for grade, total in totals["by_grade"].items():
        ones = [one for one in document["batteries"] if one["grade"] == grade]
        assert len(ones) == total["count"]
        assert sum(one["mass_kg"] or 0 for one in ones) == pytest.approx(total["mass_kg"], abs=1e-6)
    for stream, total in totals["by_stream"].items():
        ones = [one for one in document["batteries"] if one["stream"] == stream]
        assert len(ones) == total["count"]
        assert sum(one["mass_kg"] or 0 for one in ones) == pytest.approx(total["mass_kg"], abs=1e-6)
    estimated = [one["mass_kg"] for one in document["batteries"] if one["mass_estimated"]]
    assert sum(estimated) == pytest.approx(totals["mass_estimated_kg"], abs=1e-6)


def test_all_four_grades_are_listed_even_when_empty():
    totals = results_document(result_of([battery(1, rest_voltage_v=12.7)]))["totals"]

    assert ["resale-after-charge", "reconditionable", "recycle", "unresolved"] == list(totals["by_grade"])
    assert {} == totals["by_stream"]
    assert 0 == totals["by_grade"]["recycle"]["count"]


def test_streams_name_what_the_batteries_refer_to(document):
    keys = {stream["key"] for stream in document["compliance"]["streams"]}

    assert {one["stream"] for one in document["batteries"]} - {None} == keys
    assert keys == set(document["totals"]["by_stream"])


def test_warnings_stand_with_their_battery():
    findings = [
        Finding(Severity.WARNING, "Made is long ago.", "Look.", sheet="Batteries", tag="B-001", row=5),
        Finding(Severity.NOTE, "Mass is estimated.", "Weigh.", sheet="Batteries", tag="B-001", row=5),
        Finding(Severity.WARNING, "Of another row.", "Look.", sheet="Batteries", tag="B-001", row=99),
        Finding(Severity.WARNING, "Of another sheet.", "Look.", sheet="Hold readings", tag="B-001", row=99),
    ]
    one = results_document(result_of([battery(1, rest_voltage_v=12.7)], findings=findings))["batteries"][0]

    assert ["Made is long ago.", "Of another sheet."] == one["warnings"]


def test_prices_are_exact_text(document):
    assert {
        "chemistry": "AGM",
        "from_ah": None,
        "to_ah": None,
        "resale_price": "45.00",
        "scrap_price_per_kg": "0.55",
        "recondition_cost": "12",
        "charge_cost": "3.50",
        "disposal_cost": None,
    } == document["prices"][0]


def test_what_the_run_chose_is_kept(document):
    every = ["manifest", "disposal", "resale", "labels"]
    assert {"paper": "a4", "date_order": None, "papers": every, "all_sheets": False} == document["run"]


@pytest.mark.parametrize(
    ("told", "apart"),
    [
        ({"note": "smells burnt"}, True),
        ({"case": "dented"}, True),
        ({"note": "red label"}, False),
        ({"case": "scuffed"}, False),
    ],
)
def test_the_next_step_is_the_one_that_people_read(told, apart):
    """A program that obeys it must not connect what every paper sets apart."""
    result = result_of([held(1, "AGM", (24.0, 12.95), **told)])
    (one,) = json.loads(written(result))["batteries"]
    assert step_in_full(result.graded[0]) == one["next_step"]
    assert "intact" == one["handling"]
    assert apart == one["next_step"].startswith("Set it apart")
