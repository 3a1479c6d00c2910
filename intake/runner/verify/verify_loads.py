"""Whether the documents of loads still stand: each is written again from its load workbook."""

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from glob import escape as glob_escape
from pathlib import Path

from intake import __version__
from intake.checks.cells.dates import DateOrder
from intake.model.paper import Paper
from intake.runner.find_results import EARLIER
from intake.runner.loads.read_loads import LOAD_SUFFIX, WrittenLoad, read_load
from intake.runner.loads.write_load import fill_load, load_documents, read_load_workbook
from intake.runner.read_results import ResultsRefused
from intake.runner.recorded_results import recorded_results
from intake.runner.revisions import DAMAGED, revision_of
from intake.runner.settings import Settings
from intake.runner.sums import digest_of
from intake.runner.verify.check_seals import beside
from intake.runner.verify.compare_documents import Comparison, Standing, compare
from intake.runner.verify.find_batches import BatchFolder
from intake.runner.verify.kept_workbooks import Shelves
from intake.runner.verify.sealed_folder import all_alike, by_sums
from intake.runner.verify.verify_batches import Verification
from intake.runner.write_documents import results_name


def find_loads(root: Path) -> list[Path]:
    """Return ``root`` itself if it is the folder of a load, else the folders of loads in it, by name."""
    if _is_load(root):
        return [root]
    return sorted(one for one in root.iterdir() if one.is_dir() and _is_load(one))


def _is_load(folder: Path) -> bool:
    """The folder of a load has its JSON, or another document of its own name."""
    name = folder.resolve().name
    return any((folder / document).exists() for document in load_documents(name)[:-1])


def digests_of_results(folders: Sequence[BatchFolder]) -> dict[tuple[str, int], str]:
    """Return the digest of the results of each revision of these batches, those kept below them too."""
    found: dict[tuple[str, int], str] = {}
    for folder in folders:
        name = results_name(folder.batch)
        for path in (folder.path / name, *sorted(folder.path.glob(f"{EARLIER}/*/{glob_escape(name)}"))):
            with suppress(*DAMAGED, OSError):
                found[folder.batch, revision_of(recorded_results(path)).number] = digest_of(path)
    return found


def verify_loads(
    folders: Sequence[Path],
    settings: Settings,
    *,
    workbooks: Path | None,
    results: Mapping[tuple[str, int], str] | None = None,
) -> Iterator[Verification]:
    """Write each load again from its workbook and compare every document, in the order given.

    Parameters
    ----------
    workbooks
        A workbook, or a folder to look for them in at any depth; None: beside or above each load.
    results
        Digest of the results.json that stands or is kept, by batch and revision; None: none is at hand.
    """
    shelves = Shelves(settings)
    kept = shelves.below(workbooks) if workbooks else None
    gone: dict[tuple[str, str], str] = {}
    for folder in folders:
        books = kept or shelves.beside(folder.resolve())
        try:
            load = read_load(folder / f"{folder.resolve().name}{LOAD_SUFFIX}")
        except ResultsRefused as refusal:
            names = load_documents(folder.resolve().name)
            yield Verification(folder, None, tuple(all_alike(folder, names, Standing.DIFFERS, str(refusal))))
            continue
        book = books.with_digest(load.document["source"]["sha256"])
        compared = _compared(folder, load, book, settings)
        told = [*compared, *_sources(load, results), *_twice(load, gone)]
        yield Verification(folder, book, tuple(told))


def _compared(folder: Path, load: WrittenLoad, book: Path | None, settings: Settings) -> Iterator[Comparison]:
    names = load_documents(load.name)
    if book is None:
        name = load.document["source"]["name"]
        yield from by_sums(
            folder, names, f"its load workbook ({name}) is not found; say where with --workbooks"
        )
        return
    if load.document["version"] != __version__:
        yield from by_sums(folder, names, f"written by version {load.document['version']}")
        return
    run = load.document["run"]
    order = DateOrder(run["date_order"]) if run["date_order"] else None
    with tempfile.TemporaryDirectory() as name:
        scratch = Path(name)
        read = read_load_workbook(
            book,
            scratch / "none",
            today=settings.today,
            date_order=order,
            rules_folder=settings.rules_folder,
        )
        if read.load is None or read.load.head.load != load.name:
            yield from all_alike(folder, names, Standing.DIFFERS, f"the load workbook {book} is rejected now")
            return
        fill_load(
            replace(read, source_name=load.document["source"]["name"]),
            read.load,
            scratch,
            paper=Paper(run["paper"]),
        )
        for document in load_documents(load.name):
            yield compare(folder / document, scratch / document)
    yield from beside(sorted(one.name for one in folder.iterdir()), load_documents(load.name))


def _sources(load: WrittenLoad, results: Mapping[tuple[str, int], str] | None) -> Iterator[Comparison]:
    """Name the graded batches that a load was made from and that stand otherwise, or nowhere, now."""
    for one in load.document["batches"]:
        name = f"{one['batch']}, revision {one['revision']}"
        found = (results or {}).get((one["batch"], one["revision"]))
        if results is not None and found is None:
            yield Comparison(name, Standing.UNCHECKED, "no graded batch of that revision is at hand")
        elif found is not None and found != one["results_sha256"]:
            yield Comparison(
                name, Standing.DIFFERS, "its results.json is not the one that the load was made from"
            )


def _twice(load: WrittenLoad, gone: dict[tuple[str, str], str]) -> Iterator[Comparison]:
    for one in load.document["batteries"]:
        key = (one["batch"].casefold(), one["tag"].casefold())
        first = gone.setdefault(key, load.name)
        if first != load.name:
            yield Comparison(
                f"{one['batch']}/{one['tag']}", Standing.DIFFERS, f"it left in load {first} already"
            )
