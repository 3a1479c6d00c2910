"""``intake load write``: a filled-in load workbook checked, its documents written whole or not at all."""

from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from intake import __version__
from intake.checks.cells.dates import DateOrder
from intake.checks.load.check_load import check_load_workbook
from intake.compliance.load_on_paper import assess_load
from intake.compliance.streams import UNIDENTIFIED_STREAM
from intake.model.finding import Finding, Severity
from intake.model.load import Load, Yard
from intake.model.paper import Paper
from intake.model.raw_workbook import WorkbookRefused
from intake.policy.rule_data import load_rules
from intake.policy.waste_streams import stream_titles
from intake.register.load_totals import load_totals
from intake.report.json.load import load_bytes
from intake.report.load.write import write_load_sheet
from intake.report.xlsx.load import write_load_list
from intake.runner.loads.read_loads import LOAD_SUFFIX, gone_by_load, written_loads
from intake.runner.replace_folder import replace_folder
from intake.runner.sums import SUMS, digest_of, sums_of
from intake.workbook.reading.read_workbook import read_workbook


@dataclass(frozen=True, slots=True)
class ReadLoad:
    """A load workbook that was read and checked. ``load`` None: it is rejected."""

    source_name: str
    source_sha256: str
    load: Load | None
    findings: tuple[Finding, ...]
    date_order: DateOrder | None = None
    """How a date of two readings was to be read."""
    rules_folder: Path | None = None
    """A site's own rule data, beside the shipped ones."""


def read_load_workbook(
    path: Path, out: Path, *, today: date, date_order: DateOrder | None, rules_folder: Path | None = None
) -> ReadLoad:
    """Read and check a load workbook against the loads in ``out``; a bad file becomes a finding."""
    try:
        raw = read_workbook(path, workbook="load")
    except WorkbookRefused as refusal:
        finding = Finding(Severity.ERROR, str(refusal), refusal.hint, rejects=True)
        return ReadLoad(path.name, "", None, (finding,))
    loads, unread = written_loads([out], recursive=False) if out.is_dir() else ([], [])

    def yard(name: str) -> Yard:
        return Yard(
            tuple(load_rules(rules_folder)),
            stream_titles(),
            UNIDENTIFIED_STREAM,
            gone_by_load(loads, but=name),
        )

    checked = check_load_workbook(raw, today=today, date_order=date_order, yard=yard)
    found = (*(_unread(one) for one in unread), *checked.findings)
    return ReadLoad(raw.name, raw.sha256, None if unread else checked.load, found, date_order, rules_folder)


def _unread(sentence: str) -> Finding:
    """Return the finding about a load that cannot be read: what left with it cannot be told."""
    return Finding(
        Severity.ERROR,
        f"A load in the folder cannot be read, so what has left already is not known. {sentence}",
        "Mend that file, write its load again, or move it away.",
        rejects=True,
    )


def write_load(read: ReadLoad, load: Load, out: Path, *, paper: Paper, overwrite: bool) -> Path:
    """Write the documents of a load into a folder of its own; return the folder.

    Raises
    ------
    FolderInTheWay
        The folder exists without ``overwrite``.
    OSError
        It could not be written; nothing half-written is left.
    """
    name = load.head.load
    target = out / name
    replace_folder(
        target,
        partial(fill_load, read, load, paper=paper),
        overwrite=overwrite,
        documents=load_documents(name),
    )
    return target


def load_documents(name: str) -> tuple[str, ...]:
    """Return the names of the documents of a load, the file of their digests last."""
    return (f"{name}{LOAD_SUFFIX}", f"{name}-load.xlsx", f"{name}-load.pdf", SUMS)


def fill_load(read: ReadLoad, load: Load, folder: Path, *, paper: Paper) -> None:
    """Write the documents of a load into an empty folder.

    Raises
    ------
    OSError
        A document could not be written.
    """
    totals, said = load_totals(load), assess_load(load, read.rules_folder)
    as_json, as_workbook, as_sheet, sums = (folder / one for one in load_documents(load.head.load))
    as_json.write_bytes(
        load_bytes(
            load,
            totals,
            read.findings,
            version=__version__,
            source_name=read.source_name,
            source_sha256=read.source_sha256,
            paper=paper,
            date_order=read.date_order,
            rules_sha256=said.rule_data.sha256,
        )
    )
    write_load_list(load, totals, as_workbook, paper=paper)
    write_load_sheet(
        load,
        totals,
        said,
        as_sheet,
        paper=paper,
        source_sha256=read.source_sha256,
        version=__version__,
    )
    sums.write_bytes(sums_of({one.name: digest_of(one) for one in (as_json, as_workbook, as_sheet)}))
