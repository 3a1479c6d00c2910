"""``register.pdf``: the period register on paper."""

from pathlib import Path

from intake.model.register import Register
from intake.report.drawing.flow import Flow
from intake.report.drawing.page import sheet_of
from intake.report.drawing.page_edges import Furniture, PageFurniture
from intake.report.drawing.pdf_file import Description, pdf_pages
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import Typesetter
from intake.report.drawing.writer import Writer
from intake.report.register.account import place_account, place_differences
from intake.report.register.plots import Plots
from intake.report.register.summary import place_summary
from intake.report.register.tables import Tables
from intake.report.register.views import Line, recycle_line, views_of, whole_line
from intake.report.register.words import counted, period_in_words
from intake.report.words.closing import place_closing
from intake.report.words.sources import Sources

NAME = "Period register"
_DIGEST_DIGITS = 12
_ROLES = ("Checked by",)
_MOST_POLICIES, _POLICY_SIGNS = 3, 60
_YIELD = (
    "Yield and unresolved: of all batteries of the line. Owed a test: for resale without a hold, "
    "reconditionable, unresolved."
)


def write_register_pdf(register: Register, path: Path) -> None:
    """Write the register on its paper.

    Raises
    ------
    OSError
        The file cannot be written.
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
        _place_all(Writer(Flow(sheet, pages), setter), register, whole)


def _place_all(writer: Writer, register: Register, whole: Line) -> None:
    views = {view.key: view for view in views_of(register)}
    place_summary(writer, register, whole, views["grade"])
    place_differences(writer, register.account)
    Plots(writer).place(register, views["month"], views["chemistry"])
    sources = Sources()
    tables = Tables(writer, sources)
    tables.view(views["chemistry"], whole, "By chemistry", _YIELD)
    tables.view(views["stream"], recycle_line(register), "By waste stream")
    tables.divided([views[key] for key in ("jurisdiction", "supplier", "month")], whole)
    place_account(writer, register.account)
    tables.meters(register)
    tables.tags(register)
    tables.storage(register)
    tables.not_counted(register)
    tables.batches(register)
    place_closing(writer, register.cautions, _ROLES, sources)


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
