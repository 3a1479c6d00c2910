"""The page to work down when filling in a form: each entry, where it stands here, or a line for it."""

from intake.model.battery import Batch
from intake.report.drawing.blocks import side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.headed_rows import SMALL, TEXT, Clauses
from intake.report.drawing.plain_text import one_line
from intake.report.words.form_entries import Entry, Places, load_form_entries

_PLACE_WIDTH = 62.0
_LABEL_WIDTH = 196.0
_TOLD = (
    "What this tool does not hold is a line to fill in, so that one sheet has everything that the form asks. "
    "Bold: from the Batch sheet."
)


def place_entries(flow: Flow, clauses: Clauses, batch: Batch) -> None:
    """Place the entries, each group whole, beside the numbers that the form gives them."""
    known = {
        "site": batch.site,
        "received_from": batch.received_from or "",
        "consignee": batch.consignee or "",
    }
    entries = load_form_entries()
    places = entries.places.get(batch.jurisdiction)
    remark = _TOLD + (f" Right: {places.title}. {places.source}" if places else "")
    clauses.section(flow, "Entries that a form asks for", remark)
    for group in entries.groups:
        clauses.part(flow, group.title)
        rows = [
            _entry(clauses, one, one_line(known.get(one.known, "")), places, batch.jurisdiction)
            for one in group.entries
        ]
        flow.place(stack(rows))


def _entry(clauses: Clauses, one: Entry, known: str, places: Places | None, jurisdiction: str) -> Block:
    width = clauses.width - (_PLACE_WIDTH if places else 0.0) - 10
    if one.here:
        left = _told(clauses, one, width)
    else:
        value = f"{one.lead} {known}".strip() if known else ""
        left = clauses.to_fill(one.entry, width=width, known=value, label_width=_LABEL_WIDTH)
    place = one.places.get(jurisdiction, "")
    if not places or not place:
        return left
    small = text_lines(clauses.setter, f"{_SHORT[jurisdiction]} {place}", SMALL, _PLACE_WIDTH)
    top = max(left.height - 3 - len(small) * SMALL.leading, 0.0)
    return side_by_side([(0.0, left), (clauses.width - _PLACE_WIDTH, stack([Block(top, ()), *small]))])


def _told(clauses: Clauses, one: Entry, width: float) -> Block:
    label = text_lines(clauses.setter, one.entry, TEXT, _LABEL_WIDTH - 8)
    here = text_lines(clauses.setter, one.here, TEXT, width - _LABEL_WIDTH)
    block = side_by_side([(0.0, stack(label)), (_LABEL_WIDTH, stack(here))])
    return stack([Block(3, ()), block, Block(3, ())])


_SHORT = {"US": "item", "EU": "", "UK": "part"}
"""What stands before the number of an entry."""
