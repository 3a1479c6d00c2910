"""Pages that belong to no batch, each put in its place in one step."""

from collections.abc import Callable
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
    write_pdf(path, lambda draft: write_pen_form(draft, paper=paper, version=version))


def write_pdf(path: Path, write: Callable[[Path], None], *, overwrite: bool = False) -> None:
    """Have a PDF file written elsewhere, and put it in its place whole."""
    with TemporaryDirectory() as folder:
        draft = Path(folder, "draft.pdf")
        write(draft)
        write_new_file(path, draft.read_bytes(), overwrite=overwrite)
