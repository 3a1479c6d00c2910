"""Many results files into one register; its sums against sums over the files themselves."""

import json
import math
from collections import defaultdict
from datetime import date

import pytest
from jsonschema import Draft202012Validator

from intake.model.paper import Paper
from intake.model.register import Period
from intake.model.verdict import Evidence
from intake.policy.resources import resource_text
from intake.report.json.register import register_document
from intake.runner.find_results import find_results
from intake.runner.summarise_batches import read_each, summarise, write_register
from tests.changed import replace
from tests.register.builders import graded, group
from tests.report.register_builders import register_of as register_in_memory
from tests.season import cracked, grade_batch, grade_season, row

SEASON = Period(date(2026, 4, 1), date(2026, 6, 15), date(2026, 6, 15), 30)
SCHEMA = Draft202012Validator(json.loads(resource_text("schemas", "register.schema.json")))
IN_SEASON = {"A-09", "A-10", "U-10", "K-10", "O-11"}


def register_of(folder, period=SEASON, *, recursive=False):
    files, closed = find_results(folder, recursive=recursive)
    return summarise(read_each(files, at=None), closed, period, paper=Paper.A4)


@pytest.fixture(scope="module")
def season(tmp_path_factory):
    return grade_season(tmp_path_factory.mktemp("season"))


@pytest.fixture(scope="module")
def documents(season):
    """The results files themselves, by batch."""
    files = [json.loads(path.read_bytes()) for path in sorted(season.glob("*/*-results.json"))]
    return {one["batch"]["batch"]: one for one in files}


@pytest.fixture(scope="module")
def document(season):
    return register_document(register_of(season))


@pytest.fixture
def copy_of(season, tmp_path):
    """Return a function that writes the results file of a batch somewhere below an empty folder."""

    def write(batch, place, change=None):
        path = tmp_path / "copies" / place
        path.parent.mkdir(parents=True, exist_ok=True)
        content = (season / batch / f"{batch}-results.json").read_bytes()
        path.write_bytes(change(content) if change else content)
        return tmp_path / "copies"

    return write


def sums(batteries):
    """Count and add up plain batteries of results files."""
    weighed = [one for one in batteries if one["mass_kg"] is not None]
    return {
        "count": len(batteries),
        "mass_kg": pytest.approx(math.fsum(one["mass_kg"] for one in weighed), abs=1e-9),
        "mass_estimated_kg": pytest.approx(
            math.fsum(one["mass_kg"] for one in weighed if one["mass_estimated"]), abs=1e-9
        ),
        "without_mass": len(batteries) - len(weighed),
        "by_grade": {
            grade: sum(one["grade"] == grade for one in batteries)
            for grade in ("resale-after-charge", "reconditionable", "recycle", "unresolved")
        },
        "resale_proven": sum(
            one["grade"] == "resale-after-charge" and one["evidence"].endswith("-hold") for one in batteries
        ),
        "owed_a_test": sum(
            one["grade"] in ("reconditionable", "unresolved")
            or (one["grade"] == "resale-after-charge" and one["evidence"] in ("none", "rest-only"))
            for one in batteries
        ),
    }


def divided(documents, key):
    """Return the batteries of the season and the batches they are in, by a key of batch and battery."""
    lists, batches = defaultdict(list), defaultdict(set)
    for name in IN_SEASON:
        for one in documents[name]["batteries"]:
            lists[key(documents[name]["batch"], one)].append(one)
            batches[key(documents[name]["batch"], one)].add(name)
    lists.pop(None, None)
    return lists, batches


def picked(line):
    keys = (
        "count",
        "mass_kg",
        "mass_estimated_kg",
        "without_mass",
        "by_grade",
        "resale_proven",
        "owed_a_test",
    )
    return {key: line[key] for key in keys}


def test_the_document_keeps_to_its_schema(document):
    assert [] == [error.message for error in SCHEMA.iter_errors(document)]
    assert Draft202012Validator.check_schema(SCHEMA.schema) is None


def test_every_evidence_and_what_stands_apart_keep_to_the_schema():
    groups = tuple(group(evidence=evidence, apart=("T-1",)) for evidence in Evidence)
    assert SCHEMA.is_valid(register_document(register_in_memory([graded("A", groups=groups)])))


def test_the_whole_equals_the_sums_over_the_files(document, documents):
    batteries = [one for name in IN_SEASON for one in documents[name]["batteries"]]
    expected = math.fsum(
        documents[name]["figures"]["expected_wrong_voltage_decisions"]["in_use"]["wrong_acceptances"]
        for name in IN_SEASON
    )

    assert sums(batteries) == picked(document["totals"])
    assert 0 < expected
    assert expected == pytest.approx(document["totals"]["wrong_acceptances"], abs=1e-4)
    assert 5 == document["totals"]["batches"]


@pytest.mark.parametrize(
    ("view", "key"),
    [
        ("by_grade", lambda batch, one: one["grade"]),
        ("by_chemistry", lambda batch, one: one["chemistry"]),
        ("by_stream", lambda batch, one: one["stream"]),
        ("by_jurisdiction", lambda batch, one: batch["jurisdiction"]),
        (
            "by_supplier",
            lambda batch, one: " ".join((batch["received_from"] or "not given").split()).casefold(),
        ),
        ("by_month", lambda batch, one: batch["received"][:7]),
    ],
)
def test_each_view_equals_the_sums_over_the_files(document, documents, view, key):
    lists, batches = divided(documents, key)
    lines = {
        line["key"].casefold() if view == "by_supplier" else line["key"]: line
        for line in document["views"][view]
    }

    assert set(lists) == {name for name, line in lines.items() if line["count"]}
    for name, batteries in lists.items():
        assert sums(batteries) == picked(lines[name])
        assert len(batches[name]) == lines[name]["batches"]
        for grade, count in lines[name]["by_grade"].items():
            assert 100 * count / len(batteries) == pytest.approx(
                lines[name]["shares_percent"][grade], abs=0.005
            )


@pytest.mark.parametrize("view", ["by_jurisdiction", "by_supplier", "by_month"])
def test_expected_wrong_acceptances_add_up_where_a_batch_is_whole(document, view):
    parts = [line["wrong_acceptances"] for line in document["views"][view]]

    assert math.fsum(parts) == pytest.approx(document["totals"]["wrong_acceptances"], abs=1e-3)


@pytest.mark.parametrize("view", ["by_grade", "by_chemistry", "by_stream"])
def test_they_are_not_told_where_a_batch_is_divided(document, view):
    assert {None} == {line["wrong_acceptances"] for line in document["views"][view]}


@pytest.mark.parametrize(
    ("first", "last", "inside"),
    [
        ("2026-04-03", "2026-04-30", {"A-09", "A-10"}),
        ("2026-04-04", "2026-04-30", {"A-10"}),
        ("2026-04-03", "2026-04-29", {"A-09"}),
        ("2026-05-01", "2026-05-31", {"U-10", "K-10"}),
        ("2026-06-20", "2026-06-20", {"NEW-1"}),
    ],
)
def test_both_ends_of_the_period_are_in_it(season, first, last, inside):
    period = Period(date.fromisoformat(first), date.fromisoformat(last), date.fromisoformat(last), None)
    register = register_of(season, period)

    assert inside == {one.batch for one in register.batches}
    assert 7 == len(register.batches) + register.before + register.after


def test_a_period_without_a_batch_says_so_and_keeps_to_the_schema(season):
    register = register_of(season, Period(date(2025, 1, 1), date(2025, 1, 31), date(2025, 1, 31), None))
    document = register_document(register)

    assert 0 == document["totals"]["count"]
    assert {None} == set(document["totals"]["shares_percent"].values())
    assert document["remarks"][0] == "No batch was received from 2025-01-01 to 2025-01-31: every sum is zero."
    assert SCHEMA.is_valid(document)


def test_meters_tags_and_storage_of_the_season(document):
    standings = {one["meter"]: one["standing"] for one in document["meters"]}
    held = {one["batch"]: (one["days"], one["standing"]) for one in document["storage"]}

    assert {
        None: "no calibration date given",
        "Bench 1": "calibration due soon",
        "Bench 2": "in calibration",
        "Bench 3": "past calibration",
    } == standings
    assert ["B-1", "B-3"] == [one["tag"] for one in document["repeated_tags"]]
    assert {
        "OLD-1": (309, "over the limit"),
        "A-09": (73, "over the limit"),
        "U-10": (45, "over the limit"),
        "K-10": (15, "within the limit"),
        "O-11": (0, "within the limit"),
    } == held


def test_a_copy_with_the_same_bytes_is_counted_once_and_named(copy_of):
    copy_of("A-09", "A-09/A-09-results.json")
    folder = copy_of("A-09", "backup/A-09-results.json")

    register = register_of(folder)

    assert ["A-09"] == [one.batch for one in register.batches]
    assert [("backup/A-09-results.json", "A-09/A-09-results.json")] == [
        (one.file, one.of) for one in register.copies
    ]
    assert () == register.left_out


def test_two_results_of_one_batch_that_differ_are_both_named_and_neither_is_counted(copy_of):
    copy_of("A-09", "A-09/A-09-results.json")
    copy_of("A-09", "old/A-09-results.json", lambda one: one.replace(b'"A-09"', b'"a-09"'))
    folder = copy_of("U-10", "U-10/U-10-results.json")

    register = register_of(folder)

    assert ["U-10"] == [one.batch for one in register.batches]
    assert ["A-09/A-09-results.json", "old/A-09-results.json"] == [one.file for one in register.left_out]
    for one, other in zip(register.left_out, reversed(register.left_out), strict=True):
        assert other.file in one.reason
        assert "none is counted" in one.reason


def test_damaged_files_are_named_and_the_others_counted(copy_of):
    copy_of("A-09", "A-09/A-09-results.json", lambda one: one[:-40])
    copy_of("A-10", "A-10/A-10-results.json", lambda one: b"")
    folder = copy_of("U-10", "U-10/U-10-results.json")

    register = register_of(folder)
    document = register_document(register)

    assert 3 == document["totals"]["count"]
    assert ["A-09/A-09-results.json", "A-10/A-10-results.json"] == [
        one["file"] for one in document["inputs"]["left_out"]
    ]
    assert "2 results files left out and in no sum" in document["remarks"][0]
    assert SCHEMA.is_valid(document)


def test_two_policies_and_two_versions_are_remarked(copy_of):
    copy_of("A-09", "A-09/A-09-results.json")
    folder = copy_of("U-10", "U-10/U-10-results.json")
    register = register_of(folder)
    first, second = register.batches
    other = replace(register, batches=(first, replace(second, policy_sha256="0" * 64, version="9.9.9")))

    def said(one):
        return " ".join(register_document(one)["remarks"])

    assert "2 different policies" in said(other)
    assert "different versions of intake" in said(other)
    assert "different" not in said(register)


def test_hostile_text_stays_text(tmp_path):
    supplier = '=HYPERLINK("http://x")<b>&\u202e'
    results = grade_batch(tmp_path, "H-1", "2026-05-01", [row("B-1"), cracked("B-2")])
    document = json.loads(results.read_text(encoding="utf-8"))
    document["batch"] |= {"received_from": supplier, "meter": "\x1b[31m red", "site": "../../x"}
    results.write_text(json.dumps(document), encoding="utf-8")

    register = register_of(tmp_path / "graded")
    write_register(register, tmp_path / "out" / "r", overwrite=False)
    read = json.loads((tmp_path / "out" / "r" / "register.json").read_bytes())

    assert supplier == read["batches"][0]["received_from"]
    assert "\x1b[31m red" == read["meters"][0]["meter"]
    assert ["r"] == [entry.name for entry in (tmp_path / "out").iterdir()]


def test_the_same_inputs_give_the_same_bytes(season, tmp_path):
    for name in ("first", "second"):
        write_register(register_of(season), tmp_path / name, overwrite=False)

    first, second = (
        {entry.name: entry.read_bytes() for entry in (tmp_path / name).iterdir()}
        for name in ("first", "second")
    )
    assert first == second
