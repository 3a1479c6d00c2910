"""plan.json under its schema."""

import json

import jsonschema
import pytest

from intake.policy.resources import resource_text
from intake.report.json.plan import plan_bytes
from tests.report.builders import mixed_result
from tests.report.plan_builders import mixed_plan, small_plan, small_result

SCHEMA = json.loads(resource_text("schemas", "plan.schema.json"))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)


def small_document():
    return json.loads(plan_bytes(small_plan(), small_result()))


def test_the_schema_is_one():
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize(
    "document",
    [
        small_document,
        lambda: json.loads(plan_bytes(mixed_plan(), mixed_result())),
        lambda: json.loads(
            plan_bytes(small_plan(tasks=(), batteries=(), held_back=(), notes=()), small_result())
        ),
    ],
    ids=["small", "mixed", "empty"],
)
def test_the_document_is_valid(document):
    assert [] == [error.message for error in VALIDATOR.iter_errors(document())]


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("schema",), "intake-plan/2"),
        (("end",), "2026-11-24 08:03"),
        (("bound",), None),
        (("gap_percent",), -1),
        (("told", "days"), ["monday"]),
        (("told", "shifts"), []),
        (("stations", 0, "current_a"), 0),
        (("stations", 0, "chemistries"), ["lead"]),
        (("tasks", 0, "task"), "wash"),
        (("tasks", 0, "start"), "08:00"),
        (("batteries", 0, "grade"), "A"),
        (("batteries", 0, "estimate", "hours_high"), "10 h"),
        (("held_back", 0, "reason"), ""),
    ],
)
def test_a_wrong_value_is_seen(place, value):
    document = small_document()
    entry = document
    for key in place[:-1]:
        entry = entry[key]
    entry[place[-1]] = value

    assert list(VALIDATOR.iter_errors(document))


def test_what_is_planned_is_there_to_the_minute():
    document = small_document()

    assert ("2026-11-24T08:03", "2026-11-23T20:03") == (document["end"], document["bound"])
    assert {
        "tag": "B-002",
        "task": "read-long",
        "place": "shelf",
        "start": "2026-11-23T08:00",
        "end": "2026-11-23T08:03",
        "needs_person": True,
        "due": "2026-11-20T18:00",
        "counted_from": None,
    } == document["tasks"][8]
    assert [True, False, True] == [bool(one["estimate"]) for one in document["batteries"]]
    assert ["flooded", "flooded sealed", "EFB", "AGM", "gel", "LFP"] == document["stations"][1]["chemistries"]
    assert ["B-004", "B-005"] == [one["tag"] for one in document["held_back"]]


def test_the_same_plan_gives_the_same_bytes():
    assert plan_bytes(small_plan(), small_result()) == plan_bytes(small_plan(), small_result())
