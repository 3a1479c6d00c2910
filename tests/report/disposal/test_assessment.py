"""Lithium that is damaged or suspect against each criterion, with what was seen."""

import pytest

from intake.report.disposal.assessment import ASSESSMENT, CRITERIA, REMARK, assessed, assessment_row
from intake.report.disposal.write import write_disposal
from intake.report.drawing.list_table import TO_WRITE
from tests.report.builders import battery, result_of
from tests.report.read_pdf import flat, texts


def told_in(folder, result):
    """Return all that a disposal sheet says."""
    path, results_json = folder / "d.pdf", folder / "results.json"
    results_json.write_text("{}")
    write_disposal(result, path, results_json=results_json)
    return flat("\n".join(texts(path)))


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


def test_under_another_rule_the_criteria_are_called_an_aid():
    """The sheet is the same everywhere, so it names the rule of no one country to confirm them against."""
    assert "elsewhere an aid to be confirmed" in REMARK
    assert "CFR" not in REMARK
    assert "Leaked or vented: look again before loading" in CRITERIA


@pytest.mark.parametrize("chemistry", ["unknown", "other"])
def test_what_may_be_lithium_is_assessed_beside_it(tmp_path, chemistry):
    all_of_it = told_in(tmp_path, result_of([battery(1, chemistry, rest_voltage_v=13.1)]))
    assert "Assessment of lithium, or what may be" in all_of_it
    assert "chemistry not identified" in all_of_it
