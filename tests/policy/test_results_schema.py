"""The quick check of a results document finds what the schema itself finds."""

import copy
import json
import random

import pytest
from jsonschema import Draft202012Validator

from intake.policy.resources import resource_text
from intake.policy.results_schema import (
    LONG_LISTS,
    entry_problem,
    problem_beside_entries,
    results_problem,
)
from intake.report.json.results import results_document
from tests.report.builders import mixed_result

SCHEMA = Draft202012Validator(json.loads(resource_text("schemas", "results.schema.json")))
GOOD = json.loads(json.dumps(results_document(mixed_result())))


def changed(place, value, good=GOOD):
    document = copy.deepcopy(good)
    *path, last = place
    part = document
    for key in path:
        part = part[key]
    if value is None:
        del part[last]
    else:
        part[last] = value
    return document


def test_a_written_document_keeps_to_it():
    assert results_problem(GOOD) is None


@pytest.mark.parametrize(
    ("place", "value"),
    [
        (("schema",), "intake-results/2"),
        (("batch", "received"), "20 November"),
        (("batch", "jurisdiction"), None),
        (("batteries", 3, "grade"), "A"),
        (("batteries", 3, "mass_kg"), -1),
        (("batteries", 3, "mass_kg"), "12"),
        (("batteries", 0, "state_of_charge", "low_percent"), 101),
        (("batteries", 7, "stream"), 3),
        (("batteries",), []),
        (("totals", "by_grade", "recycle"), None),
        (("totals", "by_grade", "recycle", "count"), 1.5),
        (("source", "sha256"), "abc"),
        (("figures", "expected_wrong_voltage_decisions", "in_use", "wrong_acceptances"), "1"),
    ],
)
def test_what_breaks_the_schema_is_told_with_its_place(place, value):
    document = changed(place, value)

    assert not SCHEMA.is_valid(document)
    problem = results_problem(document)
    assert problem is not None
    parent = [str(key) for key in (place if value is not None else place[:-1])]
    assert "/".join(parent[:1] or ["the file"]) in problem


def test_a_stream_beside_another_grade_than_recycle_breaks_it():
    place = next(n for n, one in enumerate(GOOD["batteries"]) if one["grade"] == "unresolved")

    assert f"batteries/{place}/stream" in results_problem(
        changed(("batteries", place, "stream"), "lead-acid-wet")
    )


@pytest.mark.parametrize("document", [None, 1, [], "x", {}])
def test_another_value_than_a_document_is_told_too(document):
    assert results_problem(document).startswith("the file: ")


def test_a_problem_never_quotes_a_whole_battery():
    assert len(results_problem(changed(("batteries", 0, "reasons"), {"x": "y" * 5000}))) < 250


STRANGE = (None, True, -1, 0, 1.5, 1e300, 10**40, "", "x", "\ud800", "2026-02-30", [], {}, [None])


def places_of(value, place=()):
    """Yield the place of everything in a document."""
    entries = (
        value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    )
    for key, part in entries:
        yield (*place, key)
        yield from places_of(part, (*place, key))


def piecewise(document):
    """Return the first problem that is found in the entries one by one, or beside them."""
    reduced = {
        **document,
        **{key: [None] * len(document[key]) for key in LONG_LISTS if isinstance(document.get(key), list)},
    }
    entries = [
        entry_problem(entry, key, number)
        for key in LONG_LISTS
        if isinstance(document.get(key), list)
        for number, entry in enumerate(document[key])
    ]
    return next((one for one in (problem_beside_entries(reduced), *entries) if one is not None), None)


@pytest.mark.parametrize(
    ("place", "value", "says"),
    [
        (("batteries", 3, "mass_kg"), -1, "batteries/3/mass_kg: "),
        (("batteries", 2, "grade"), None, "batteries/2: "),
        (("findings",), [7], "findings/0: "),
        (("batteries",), [], "batteries: "),
        (("batteries",), {"0": 1}, "batteries: "),
        (("findings",), 7, "findings: "),
        (("findings",), None, "the file: "),
        (("version",), 7, "version: "),
    ],
)
def test_an_entry_is_judged_by_itself_with_its_place(place, value, says):
    assert piecewise(changed(place, value)).startswith(says)
    assert results_problem(changed(place, value)).startswith(says)


def test_the_quick_answer_is_the_referees():
    """Any value in any place: all say yes, or all say no. Six batteries: the referee is slow."""
    chance = random.Random(20261127)
    few = {**GOOD, "batteries": GOOD["batteries"][::8]}
    assert set(GOOD["totals"]["by_grade"]) == {one["grade"] for one in few["batteries"]}
    places = list(places_of(few))
    answers = []
    for _ in range(200):
        document = changed(chance.choice(places), chance.choice(STRANGE), few)
        answers.append(SCHEMA.is_valid(document))
        assert answers[-1] == (results_problem(document) is None), document
        assert answers[-1] == (piecewise(document) is None), document
    assert 20 < sum(answers) < 180


def test_half_a_character_is_judged_all_the_same():
    document = changed(("batteries", 0, "note"), "\ud800")
    assert SCHEMA.is_valid(document)
    assert results_problem(document) is None
