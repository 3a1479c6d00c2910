"""The page to work down when filling in a form: each entry, where it stands here, or a line for it."""

from intake.model.battery import Batch
from intake.model.compliance import FormPlaces
from intake.report.drawing.blocks import side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.headed_rows import SMALL, TEXT, Clauses
from intake.report.drawing.plain_text import one_line
from intake.report.words.form_entries import Entry, load_form_entries

_PLACE_WIDTH = 62.0
_LABEL_WIDTH = 196.0
_TOLD = (
    "What this tool does not hold is a line to fill in, so that one sheet has everything that the form asks. "
    "Bold: from the Batch sheet."
)


def place_entries(flow: Flow, clauses: Clauses, batch: Batch, form: FormPlaces | None) -> None:
    """Place the entries, each group whole, beside the numbers that the form gives them."""
    known = {
        "site": batch.site,
        "received_from": batch.received_from or "",
        "consignee": batch.consignee or "",
    }
    entries = load_form_entries()
    remark = _TOLD + (f" Right: {form.title}. {form.source}" if form else "")
    clauses.section(flow, "Entries that a form asks for", remark)
    for group in entries.groups:
        clauses.part(flow, group.title)
        rows = [_entry(clauses, one, one_line(known.get(one.known, "")), form) for one in group.entries]
        flow.place(stack(rows))


def _entry(clauses: Clauses, one: Entry, known: str, form: FormPlaces | None) -> Block:
    width = clauses.width - (_PLACE_WIDTH if form else 0.0) - 10
    if one.here:
        left = _told(clauses, one, width)
    else:
        value = f"{one.lead} {known}".strip() if known else ""
        left = clauses.to_fill(one.entry, width=width, known=value, label_width=_LABEL_WIDTH)
    place = form.places.get(one.key) if form else None
    if not form or not place:
        return left
    small = text_lines(clauses.setter, f"{form.prefix} {place}", SMALL, _PLACE_WIDTH)
    top = max(left.height - 3 - len(small) * SMALL.leading, 0.0)
    return side_by_side([(0.0, left), (clauses.width - _PLACE_WIDTH, stack([Block(top, ()), *small]))])


def _told(clauses: Clauses, one: Entry, width: float) -> Block:
    label = text_lines(clauses.setter, one.entry, TEXT, _LABEL_WIDTH - 8)
    here = text_lines(clauses.setter, one.here, TEXT, width - _LABEL_WIDTH)
    block = side_by_side([(0.0, stack(label)), (_LABEL_WIDTH, stack(here))])
    return stack([Block(3, ()), block, Block(3, ())])
