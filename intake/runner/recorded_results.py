"""The record of a graded batch, read back."""

from pathlib import Path
from typing import Any, NamedTuple

from intake import __version__
from intake.checks.cells.dates import DateOrder
from intake.model.finding import Finding, Severity
from intake.model.paper import Paper, PaperDocument, Printing
from intake.model.verdict import Grade
from intake.policy.long_json import Reduce
from intake.policy.regular_file import Unreadable
from intake.policy.rule_data import load_jurisdiction
from intake.runner.results_file import ResultsFile, forgotten, read_results_file
from intake.runner.settings import Settings
from intake.runner.write_documents import document_names, results_name


def recorded_results(
    path: Path, *, battery: Reduce = forgotten, finding: Reduce = forgotten
) -> dict[str, Any]:
    """Return the record of a batch; see `recorded_file`."""
    return dict(recorded_file(path, battery=battery, finding=finding).document)


def recorded_file(path: Path, *, battery: Reduce = forgotten, finding: Reduce = forgotten) -> ResultsFile:
    """Return the record of a batch; what is needed to compute it again is sure to be there.

    Parameters
    ----------
    battery, finding
        What is kept of each; nothing but its place if this is not given.

    Raises
    ------
    OSError
        there is none, or it cannot be read.
    ValueError
        it is damaged, or no record of this tool.
    """
    try:
        found = read_results_file(path, battery=battery, finding=finding)
        document = found.document
        run = document["run"]
        Paper(run["paper"])
        DateOrder(run["date_order"] or DateOrder.DAY_FIRST)
        printing_of(run)
        needed = (document["version"], document["source"]["name"], document["source"]["sha256"])
        policy = (document["policy"]["name"], document["policy"]["sha256"])
        damaged = not all(isinstance(one, str) for one in (*needed, *policy))
        damaged = damaged or not isinstance(document, dict)
    except (Unreadable, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        damaged = True
    if damaged or Path(document["source"]["name"]).name != document["source"]["name"]:
        raise ValueError(f"{path.name} is damaged, or was not written by intake")
    return found


def printing_of(run: dict[str, Any]) -> Printing:
    """Return which documents a record says were written; all where it does not say.

    Raises
    ------
    ValueError
        It names another document.
    """
    named = {PaperDocument(one) for one in run.get("papers", tuple(PaperDocument))}
    return Printing(tuple(one for one in PaperDocument if one in named), bool(run.get("all_sheets", False)))


class GradedAlready(NamedTuple):
    """What the record of a batch says that need not be graded again."""

    findings: tuple[Finding, ...]
    by_grade: tuple[tuple[str, int], ...]


def graded_already(folder: Path, batch: str, source_sha256: str, settings: Settings) -> GradedAlready | None:
    """Return what is recorded of a batch, None where its documents would not be the same if written again.

    The workbook's bytes, the policy, the version and the choices of the run have to be the same,
    and no document may be missing. Whether one was changed since is for ``verify`` to say.
    """
    if not all((folder / name).is_file() for name in document_names(batch, settings.printing)):
        return None
    order = settings.date_order.value if settings.date_order else None
    try:
        document = recorded_results(folder / results_name(batch), finding=_finding)
        same = (
            document["source"]["sha256"] == source_sha256
            and document["policy"]["sha256"] == settings.policy.sha256
            and document["rule_data"]["sha256"] == _rules_sha256(document, settings)
            and document["version"] == __version__
            and document["run"]["paper"] == settings.paper.value
            and printing_of(document["run"]) == settings.printing
            and document["run"]["date_order"] == order
        )
        recorded = GradedAlready(
            tuple(document["findings"]),
            tuple((one.value, int(document["totals"]["by_grade"][one]["count"])) for one in Grade),
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
    refused = settings.strict and any(one.severity is Severity.ERROR for one in recorded.findings)
    return recorded if same and not refused else None


def _rules_sha256(document: dict[str, Any], settings: Settings) -> str:
    """Return the digest of the rule data that the batch would be graded with now."""
    return load_jurisdiction(document["batch"]["jurisdiction"], settings.rules_folder).rule_data.sha256


def _finding(recorded: dict[str, Any]) -> Finding:
    return Finding(
        Severity(recorded["severity"]),
        str(recorded["message"]),
        str(recorded["hint"]),
        sheet=str(recorded["sheet"] or ""),
        cell=str(recorded["cell"] or ""),
        tag=str(recorded["tag"] or ""),
        field=str(recorded["field"] or ""),
    )
