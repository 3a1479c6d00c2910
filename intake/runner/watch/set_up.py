"""A folder made ready to be watched: the page that says how, and blank forms to begin with."""

from pathlib import Path

from intake.model.paper import Paper
from intake.runner.watch.ledger import LOG_NAME
from intake.runner.write_forms import write_pdf, write_pen_form_file
from intake.workbook.blank.write import write_blank_workbook

START_HERE = "START-HERE.pdf"
FORMS = "blank forms"


def set_up_inbox(inbox: Path, out: Path, *, paper: Paper, version: str) -> list[Path]:
    """Make the folder and put the page and the blank forms there; return what was written.

    The page is written anew, since it names the folders; forms that are there already stay.

    Raises
    ------
    OSError
        something could not be written.
    """
    from intake.report.start_page.write import write_start_page

    forms = inbox / FORMS
    forms.mkdir(parents=True, exist_ok=True)
    out.mkdir(parents=True, exist_ok=True)
    places = {
        "inbox": str(inbox.absolute()),
        "out": str(out.absolute()),
        "log": str(out.absolute() / LOG_NAME),
    }
    page = inbox / START_HERE
    write_pdf(
        page,
        lambda draft: write_start_page(draft, places=places, paper=paper, version=version),
        overwrite=True,
    )
    written = [page]
    for short, name in ((True, "intake-short.xlsx"), (False, "intake-full.xlsx")):
        if not (forms / name).exists():
            write_blank_workbook(forms / name, short=short)
            written.append(forms / name)
    if not (forms / "pen-form.pdf").exists():
        write_pen_form_file(forms / "pen-form.pdf", paper=paper, version=version)
        written.append(forms / "pen-form.pdf")
    return written
