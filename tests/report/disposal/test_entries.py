"""The entries that a form asks for, on their page."""

import pytest

from intake.model.paper import Paper
from intake.policy.rule_data import load_jurisdiction, load_rules
from intake.report.disposal.entries import place_entries
from intake.report.drawing.flow import Flow
from intake.report.drawing.headed_rows import Clauses
from intake.report.drawing.page import sheet_of
from intake.report.drawing.typesetter import Typesetter
from intake.report.words.form_entries import load_form_entries
from tests.report.builders import batch_of
from tests.report.read_blocks import after, told, writing_lines

SHEET = sheet_of(Paper.A4)
BLANKS = sum(not one.here for group in load_form_entries().groups for one in group.entries)


def placed(**fields):
    flow, batch = Flow(SHEET), batch_of((), **fields)
    form = load_jurisdiction(batch.jurisdiction).form
    place_entries(flow, Clauses(Typesetter(), SHEET.room_width), batch, form)
    return flow


@pytest.mark.parametrize("jurisdiction", load_rules())
def test_each_entry_that_is_not_told_has_a_line_to_write_on(jurisdiction):
    assert BLANKS == writing_lines(placed(jurisdiction=jurisdiction))


def test_what_the_batch_sheet_knows_is_printed_beside_its_line():
    texts = told(placed(site="Yard 2", consignee="Gate B", received_from="Counter"))

    assert ["Name", "Yard 2"] == after(texts, "Name", 2)
    assert "Gate B" in texts
    assert "from Counter" in texts


def test_what_the_batch_sheet_does_not_know_is_only_a_line():
    texts = told(placed(consignee=None, received_from=None))

    assert not [text for text in texts if text.startswith("from")]


@pytest.mark.parametrize(
    ("place", "jurisdiction"), [("item 9b", "US"), ("(a) to (d)", "EU"), ("part B", "UK")]
)
def test_the_number_on_the_form_stands_beside_the_entry(place, jurisdiction):
    texts = told(placed(jurisdiction=jurisdiction))

    assert place == after(texts, "Transport description", 3)[-1]


def test_elsewhere_no_numbering_is_claimed():
    texts = told(placed(jurisdiction="other"))

    assert not [text for text in texts if text.startswith(("item", "part", "("))]
