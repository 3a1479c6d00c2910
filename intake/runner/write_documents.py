"""Every document of one batch into one folder."""

from pathlib import Path

from intake.model.battery import Chemistry
from intake.model.result import BatchResult
from intake.policy.grading_policy import GradingPolicy
from intake.report.disposal_pdf import write_disposal
from intake.report.labels_pdf import write_labels
from intake.report.manifest_pdf import write_manifest
from intake.report.resale_pdf import write_resale
from intake.report.results_json import results_bytes
from intake.report.results_xlsx import write_results_workbook
from intake.runner.plot_limits import plot_limits


def write_documents(result: BatchResult, folder: Path, *, policy: GradingPolicy) -> None:
    """Write the documents of ``result`` into an empty folder.

    Raises
    ------
    OSError
        A document could not be written.
    """
    name = result.batch.batch
    document = results_bytes(result)
    present = {one.battery.chemistry for one in result.graded}
    limits = {one: plot_limits(one, policy) for one in Chemistry if one in present}
    (folder / f"{name}-results.json").write_bytes(document)
    write_results_workbook(result, folder / f"{name}-results.xlsx")
    write_manifest(
        result, folder / f"{name}-manifest.pdf", paper=result.paper, results_json=document, plot_limits=limits
    )
    write_disposal(result, folder / f"{name}-disposal.pdf")
    write_resale(result, folder / f"{name}-resale.pdf", plot_limits=limits)
    write_labels(result, folder / f"{name}-labels.pdf")
