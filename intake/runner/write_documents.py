"""Every document of one batch into one folder."""

from collections.abc import Mapping
from pathlib import Path

from intake.model.battery import Chemistry
from intake.model.paper import ALL_PAPERS, PaperDocument, Printing
from intake.model.result import BatchResult
from intake.policy.grading_policy import GradingPolicy
from intake.report.disposal.write import write_disposal
from intake.report.json.results import results_parts
from intake.report.labels.write import write_labels
from intake.report.manifest.write import write_manifest
from intake.report.plots.voltage_scale import PlotLimits
from intake.report.resale.write import write_resale
from intake.report.xlsx.results import write_results_workbook
from intake.runner.plot_limits import plot_limits
from intake.runner.sums import SUMS, digest_of, seal_of, sums_of

_RESULTS, _MANIFEST = "results.json", "manifest.pdf"
_UNDER_SEAL = (_RESULTS, "results.xlsx", "disposal.pdf", "resale.pdf", "labels.pdf")
ENDINGS = tuple(f"-{name}" for name in (*_UNDER_SEAL, _MANIFEST))
"""How the names of documents end; before it stands the batch."""


def write_documents(result: BatchResult, folder: Path, *, policy: GradingPolicy) -> str:
    """Write the documents of ``result`` into an empty folder.

    Returns
    -------
    str
        The SHA-256 of the file of digests.

    Raises
    ------
    OSError
        A document could not be written.
    """
    batch, printing = result.batch.batch, result.printing
    write_under_seal(result, folder, policy=policy)
    digests = {name: digest_of(folder / name) for name in names_under_seal(batch, printing)}
    if PaperDocument.MANIFEST in printing.documents:
        write_sealed_manifest(result, folder, digests, policy=policy)
        digests[manifest_name(batch)] = digest_of(folder / manifest_name(batch))
    return write_sums(folder, digests)


def write_under_seal(result: BatchResult, folder: Path, *, policy: GradingPolicy) -> None:
    """Write every document but the manifest, which bears the seal over the others."""
    results_json, results_xlsx, disposal, resale, labels = (
        folder / name for name in names_under_seal(result.batch.batch, ALL_PAPERS)
    )
    papers = result.printing.documents
    with results_json.open("wb") as file:
        file.writelines(results_parts(result))
    write_results_workbook(result, results_xlsx)
    if PaperDocument.DISPOSAL in papers:
        write_disposal(result, disposal, results_json=results_json)
    if PaperDocument.RESALE in papers:
        limits, all_sheets = _limits(result, policy), result.printing.all_sheets
        write_resale(result, resale, plot_limits=limits, all_sheets=all_sheets)
    if PaperDocument.LABELS in papers:
        write_labels(result, labels)


def write_sealed_manifest(
    result: BatchResult, folder: Path, digests: Mapping[str, str], *, policy: GradingPolicy
) -> None:
    """Write the manifest; ``digests`` are those of the other documents by name, in their order."""
    batch = result.batch.batch
    write_manifest(
        result,
        folder / manifest_name(batch),
        paper=result.paper,
        results_json=folder / results_name(batch),
        plot_limits=_limits(result, policy),
        seal=seal_of(digests),
    )


def write_sums(folder: Path, digests: Mapping[str, str]) -> str:
    """Write the file of digests, the manifest's last where there is one, and return its own digest."""
    (folder / SUMS).write_bytes(sums_of(digests))
    return digest_of(folder / SUMS)


def _limits(result: BatchResult, policy: GradingPolicy) -> PlotLimits:
    present = {one.battery.chemistry for one in result.graded}
    return {one: plot_limits(one, policy) for one in Chemistry if one in present}


def names_under_seal(batch: str, printing: Printing) -> tuple[str, ...]:
    """Return the names of the documents over which the manifest bears the seal."""
    left_out = {f"{one.value}.pdf" for one in PaperDocument if one not in printing.documents}
    return tuple(f"{batch}-{name}" for name in _UNDER_SEAL if name not in left_out)


def manifest_name(batch: str) -> str:
    """Return the name of the manifest of a batch."""
    return f"{batch}-{_MANIFEST}"


def results_name(batch: str) -> str:
    """Return the name of the record of a batch."""
    return f"{batch}-{_RESULTS}"


def document_names(batch: str, printing: Printing = ALL_PAPERS) -> tuple[str, ...]:
    """Return the names of everything that is written for a batch."""
    has_manifest = PaperDocument.MANIFEST in printing.documents
    return (*names_under_seal(batch, printing), *([manifest_name(batch)] if has_manifest else []), SUMS)
