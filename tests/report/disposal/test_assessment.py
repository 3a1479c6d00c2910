"""Lithium that is damaged or suspect against each criterion, with what was seen."""

import pytest

from intake.report.disposal.assessment import ASSESSMENT, CRITERIA, assessed, assessment_row
from intake.report.drawing.list_table import TO_WRITE
from tests.report.builders import battery, result_of


def graded(**fields):
    return result_of([battery(1, "LFP", **fields)]).graded[0]


@pytest.mark.parametrize(
    ("fields", "expected"),
    [({"case": "swollen"}, True), ({"rest_voltage_v": 2.0}, True), ({"rest_voltage_v": 13.3}, False)],
)
def test_lithium_that_is_not_intact_is_assessed(fields, expected):
    assert expected is assessed(graded(**fields))


def test_lead_acid_is_not():
    assert not assessed(result_of([battery(1, case="leaking")]).graded[0])


@pytest.mark.parametrize(
    ("fields", "seen"),
    [
        (
            {"case": "leaking", "under_recall": True},
            ("under recall", "case leaking", "no usable reading", "case leaking"),
        ),
        (
            {"case": "swollen", "under_recall": False, "rest_voltage_v": 13.3, "terminals": "loose"},
            (
                "no recall found",
                "no leak noted",
                "can be read",
                "case swollen, terminals loose",
            ),
        ),
        (
            {"case": None, "rest_voltage_v": 2.0},
            ("recall not checked", "case not read", "case not read", "case not read"),
        ),
        (
            {"case": "sound", "rest_voltage_v": 2.0},
            (
                "recall not checked",
                "no leak noted",
                "suspect",
                "none noted: case sound",
            ),
        ),
    ],
)
def test_each_criterion_has_what_was_seen(fields, seen):
    tag, *cells = assessment_row(graded(**fields))

    assert ("Tag", *CRITERIA) == tuple(column.head for column in ASSESSMENT)
    assert "B-001" == tag
    assert [(one, TO_WRITE) for one in seen] == cells
