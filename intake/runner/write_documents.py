"""Every document of one batch into one folder."""

from pathlib import Path

from intake.model.battery import Chemistry
from intake.model.result import BatchResult
from intake.policy.grading_policy import GradingPolicy
from intake.report.disposal.write import write_disposal
from intake.report.json.results import results_parts
from intake.report.labels.write import write_labels
from intake.report.manifest.write import write_manifest
from intake.report.resale.write import write_resale
from intake.report.xlsx.results import write_results_workbook
from intake.runner.plot_limits import plot_limits

DOCUMENTS = ("results.json", "results.xlsx", "manifest.pdf", "disposal.pdf", "resale.pdf", "labels.pdf")
"""What follows the batch's name and a dash in the names of the documents."""


def write_documents(result: BatchResult, folder: Path, *, policy: GradingPolicy) -> None:
    """Write the documents of ``result`` into an empty folder.

    Raises
    ------
    OSError
        A document could not be written.
    """
    results_json, results_xlsx, manifest, disposal, resale, labels = document_paths(
        folder, result.batch.batch
    )
    present = {one.battery.chemistry for one in result.graded}
    limits = {one: plot_limits(one, policy) for one in Chemistry if one in present}
    with results_json.open("wb") as file:
        file.writelines(results_parts(result))
    write_results_workbook(result, results_xlsx)
    write_manifest(result, manifest, paper=result.paper, results_json=results_json, plot_limits=limits)
    write_disposal(result, disposal, results_json=results_json)
    write_resale(result, resale, plot_limits=limits)
    write_labels(result, labels)


def document_names(batch: str) -> tuple[str, ...]:
    """Return the names of everything that is written for a batch, in the order of ``DOCUMENTS``."""
    return tuple(f"{batch}-{name}" for name in DOCUMENTS)


def document_paths(folder: Path, batch: str) -> tuple[Path, ...]:
    """Return where the documents of a batch stand in its folder, in the order of ``DOCUMENTS``."""
    return tuple(folder / name for name in document_names(batch))
