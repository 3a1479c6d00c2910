"""What the manifest says: groups of work, the list, the batteries in full, findings on one line."""

import pytest

from intake.model.finding import Finding, Severity
from intake.report.manifest.content import errors_in_words, is_unusual, manifest_content
from tests.changed import replace
from tests.report.builders import battery, held, mixed_findings, mixed_result, result_of


def only(*batteries, **options):
    return manifest_content(result_of(batteries, **options))


def test_every_battery_stands_in_exactly_one_group():
    content = manifest_content(mixed_result())
    tags = [tag for group in content.groups for line in group.lines for tag in line.tags]

    assert 48 == len(tags) == len(set(tags))
    assert 48 == sum(group.count for group in content.groups)


def test_the_list_is_in_the_order_of_tags():
    tags = ("B-10", "B-2", "b-1")
    content = only(*(battery(number, tag=tag, rest_voltage_v=12.7) for number, tag in enumerate(tags)))

    assert ["b-1", "B-2", "B-10"] == [one.battery.tag for one in content.listed]


@pytest.mark.parametrize(
    ("one", "unusual"),
    [
        (battery(1, rest_voltage_v=12.8), False),
        (battery(1, rest_voltage_v=12.38), True),
        (battery(1, rest_voltage_v=11.9), False),
        (battery(1, rest_voltage_v=None), True),
        (battery(1, case="cracked", rest_voltage_v=12.8), True),
        (battery(1, "LFP", rest_voltage_v=8.1), True),
        (battery(1, rest_voltage_v=10.5), False),
        (held(1, "flooded", (0.5, 12.60), (12.0, 12.02)), False),
    ],
    ids=["sound", "close to its limit", "far below", "unresolved", "damaged", "suspect", "noted", "low"],
)
def test_only_unusual_batteries_are_told_in_full(one, unusual):
    (graded,) = result_of([one]).graded

    assert unusual is is_unusual(graded)


def test_contradicting_tests_are_unusual():
    (graded,) = result_of([battery(1, rest_voltage_v=12.8)]).graded
    verdict = replace(graded.verdict, warnings=("The hold fails but the load test passes.",))

    assert is_unusual(replace(graded, verdict=verdict))


def found(cell, message, *, hint="Look again.", severity=Severity.NOTE, tag="B-1", field="Made"):
    return Finding(severity, message, hint, sheet="Batteries", cell=cell, tag=tag, field=field)


def test_findings_that_ask_for_the_same_stand_on_one_line():
    findings = [found(f"G{row}", f"{row} was read.") for row in range(5, 10)]
    (line,) = only(findings=findings).findings

    assert "Made: 5 was read. Made: 6 was read. And 3 more like these." == line.what
    assert ("G5 B-1", "G6 B-1", "G7 B-1", "G8 B-1", "G9 B-1") == line.places
    assert 0 == line.more


def test_the_same_message_is_told_once():
    (line,) = only(findings=[found("G5", "Blank."), found("G6", "Blank.")]).findings

    assert "Made: Blank." == line.what


def test_so_many_places_are_named_and_the_rest_is_counted():
    findings = [found(f"G{row}", "Blank.") for row in range(5, 25)]
    (line,) = only(findings=findings).findings

    assert (12, 8) == (len(line.places), line.more)


def test_errors_come_before_warnings_and_notes():
    content = only(findings=mixed_findings())

    assert [Severity.ERROR, Severity.WARNING] == [line.severity for line in content.findings]
    assert 1 == content.only_noted


def test_a_finding_without_a_cell_names_its_sheet_or_the_workbook():
    findings = [
        found("", "a", hint="x", tag=""),
        Finding(Severity.NOTE, "b", "y"),
    ]

    assert [("Batteries",), ("workbook",)] == [line.places for line in only(findings=findings).findings]


def test_a_place_with_two_findings_that_ask_for_the_same_is_named_once():
    twice = [Finding(Severity.WARNING, text, "Look.", sheet="Batteries") for text in ("One.", "Two.")]
    lines = manifest_content(result_of([battery(1)], findings=tuple(twice))).findings

    assert [("Batteries",)] == [line.places for line in lines]


def test_a_cell_of_another_sheet_is_named_with_it():
    finding = Finding(Severity.WARNING, "Blank.", "Fill it in.", sheet="Prices", cell="A5", field="Chemistry")
    (line,) = only(findings=(finding,)).findings
    assert ("Prices!A5",) == line.places


def test_the_errors_of_the_workbook_are_counted_for_the_first_page():
    errors = [found(f"G{row}", "x", severity=Severity.ERROR) for row in (5, 6)]

    assert () == errors_in_words([found("G5", "x", severity=Severity.WARNING)])
    assert ("1 error in the workbook, see Findings: mend it and grade again.",) == errors_in_words(errors[:1])
    assert ("2 errors in the workbook, see Findings: mend them and grade again.",) == errors_in_words(errors)
