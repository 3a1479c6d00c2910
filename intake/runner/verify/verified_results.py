"""Results files whose whole set was computed again and stands; of the others why they are left out."""

from collections.abc import Sequence
from pathlib import Path

from intake.model.finding import LeftOut
from intake.runner.settings import Settings
from intake.runner.verify.compare_documents import Standing
from intake.runner.verify.find_batches import BatchFolder, look_into
from intake.runner.verify.verify_batches import Verification, verify_batches, verify_season
from intake.runner.workers.workplace import Workplace

NamedFile = tuple[str, Path]


def verified_results(
    root: Path,
    files: Sequence[NamedFile],
    settings: Settings,
    *,
    workbooks: Path | None,
    at: Workplace | None = None,
) -> tuple[list[NamedFile], list[LeftOut]]:
    """Verify the sets of these results files and part those that stand from those that do not.

    Parameters
    ----------
    root
        the folder of documents, whose season's list is checked too.
    files
        name in the register and path of each results file.
    workbooks
        where the graded workbooks are kept; None: beside or above each batch.
    at
        where it is done; None: in this process.
    """
    folders = [look_into(path.parent) for _, path in files]
    checked = verify_batches(folders, settings, workbooks=workbooks, at=at)
    standing: list[NamedFile] = []
    left_out: list[LeftOut] = []
    for (name, path), one in zip(files, checked, strict=True):
        why = _why_left_out(one)
        if why:
            left_out.append(LeftOut(name, why))
        else:
            standing.append((name, path))
    return standing, [*left_out, *_season(root, folders)]


def _why_left_out(one: Verification) -> str:
    if not one.checked:
        return f"It cannot be verified: {one.documents[0].remark}."
    fallen = [document for document in one.documents if document.standing is Standing.DIFFERS]
    if not fallen:
        return ""
    more = f" and {len(fallen) - 1} more" if len(fallen) > 1 else ""
    return f"It does not stand: {fallen[0].name}: {fallen[0].remark}{more}."


def _season(root: Path, folders: Sequence[BatchFolder]) -> list[LeftOut]:
    season = verify_season(root, folders)
    return [
        LeftOut(document.name, f"It does not stand: {document.remark}.")
        for document in (season.documents if season else ())
        if document.standing is Standing.DIFFERS
    ]
