"""The form for a pen, put in its place in one step."""

from pathlib import Path
from tempfile import TemporaryDirectory

from intake.model.paper import Paper
from intake.workbook.blank.new_file import refuse_existing, write_new_file


def write_pen_form_file(path: Path, *, paper: Paper, version: str) -> None:
    """Write the form for a pen as a PDF file, never over an existing one.

    Raises
    ------
    FileExistsError
        something of that name is there already; it is left as it is.
    OSError
        the folder is missing, read-only or full.
    """
    from intake.report.pen_form.write import write_pen_form

    refuse_existing(path)
    with TemporaryDirectory() as folder:
        draft = Path(folder, "form.pdf")
        write_pen_form(draft, paper=paper, version=version)
        write_new_file(path, draft.read_bytes())
