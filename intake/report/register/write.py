"""``register.pdf``: the period register on paper."""

from collections.abc import Sequence
from pathlib import Path

from intake.model.register import Register
from intake.report.drawing.blocks import line_of, side_by_side, stack
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.headed_rows import TEXT, Clauses
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import Furniture, PageFurniture
from intake.report.drawing.pdf_file import Description, pdf_pages
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import MISSING_SIGN, Typesetter
from intake.report.drawing.writer import Writer
from intake.report.register.account import place_account
from intake.report.register.plots import Plots
from intake.report.register.summary import place_summary
from intake.report.register.tables import Tables
from intake.report.register.views import Line, recycle_line, views_of, whole_line
from intake.report.register.words import counted, period_in_words

NAME = "Period register"
_DIGEST_DIGITS = 12
_NUMBER_WIDTH = 18.0
_MOST_POLICIES, _POLICY_SIGNS = 3, 60
_YIELD = (
    "Yield and unresolved: of all batteries of the line. Owed a test: for resale without a hold, "
    "reconditionable, unresolved."
)
_WRONG = " Wrongly accepted: expected number of those for resale that are below the limit after all."


def write_register_pdf(register: Register, path: Path) -> None:
    """Write the register on its paper.

    Raises
    ------
    OSError
        The file can not be written.
    """
    sheet, setter = sheet_of(register.paper), Typesetter()
    whole = whole_line(register)
    description = Description(
        title=f"{NAME} {period_in_words(register.period)}",
        subject=f"{whole.count} used 12 V batteries of {len(register.batches)} batches",
        version=register.version,
        on=register.period.closing,
    )
    furniture = PageFurniture(sheet, _furniture(register))
    with pdf_pages(path, sheet=sheet, description=description, furnishing=furniture) as pages:
        _place_all(Flow(sheet, pages), Clauses(setter, sheet.room_width), register, whole)


def _place_all(flow: Flow, clauses: Clauses, register: Register, whole: Line) -> None:
    views = {view.key: view for view in views_of(register)}
    place_summary(flow, clauses, register, whole, views["grade"])
    Plots(clauses).place(flow, register, views["month"], views["chemistry"])
    tables = Tables(clauses)
    tables.view(flow, views["chemistry"], whole, "By chemistry", _YIELD)
    tables.view(flow, views["stream"], recycle_line(register), "By waste stream", "Graded recycle only.")
    for key, title in (
        ("jurisdiction", "By jurisdiction"),
        ("supplier", "By supplier"),
        ("month", "By month"),
    ):
        tables.view(flow, views[key], whole, title, _YIELD + _WRONG)
    place_account(Writer(flow, clauses.setter), register.account)
    tables.meters(flow, register)
    tables.tags(flow, register)
    tables.storage(flow, register)
    tables.not_counted(flow, register)
    _place_cautions(flow, clauses, register.cautions)
    tables.batches(flow, register)


def _furniture(register: Register) -> Furniture:
    policies = dict.fromkeys(
        f"{one.policy_sha256[:_DIGEST_DIGITS]}, {one_line(one.policy_name)[:_POLICY_SIGNS]}"
        for one in register.batches
    )
    named = " and ".join(policies) if len(policies) <= _MOST_POLICIES else str(len(policies))
    left_out = len(register.left_out)
    return Furniture(
        batch=f"{register.period.first} to {register.period.last}",
        document=NAME,
        warning=f"{counted(left_out, 'results file')} left out, in no sum" if left_out else "",
        provenance=(
            f"results files {register.inputs_sha256[:_DIGEST_DIGITS]} · "
            f"policy {named or 'none'} · intake {register.version}"
        ),
    )


def _place_cautions(flow: Flow, clauses: Clauses, cautions: Sequence[str]) -> None:
    clauses.section(flow, "Cautions")
    texts = list(cautions)
    replaced = clauses.setter.replaced
    if replaced:
        signs = counted(replaced, "character")
        texts.append(f"{signs} could not be printed; shown as {MISSING_SIGN}.")
    rows = []
    for number, text in enumerate(texts, start=1):
        lines = clauses.lines(text, TEXT, width=clauses.width - _NUMBER_WIDTH)
        words = [(0.0, line_of(TEXT, (0.0, str(number)))), (_NUMBER_WIDTH, stack(lines))]
        rows.append(stack([Block(2, ()), side_by_side(words), Block(2, ())]))
    flow.place(stack(rows))
