"""The settings of one run."""

from datetime import date
from pathlib import Path
from typing import NamedTuple

from intake.checks.cells.dates import DateOrder
from intake.model.paper import ALL_PAPERS, Paper, Printing
from intake.policy.grading_policy import GradingPolicy


class Settings(NamedTuple):
    """Choices that hold for every workbook of a run."""

    policy: GradingPolicy
    today: date
    """Only to tell whether Received lies in the future."""
    paper: Paper = Paper.A4
    printing: Printing = ALL_PAPERS
    date_order: DateOrder | None = None
    strict: bool = False
    """Any row error rejects the workbook."""
    overwrite: bool = False
    renew: bool = False
    """Replace documents by those of a workbook that was saved again without a change to a battery."""
    reason: str | None = None
    """Why a batch is graded again; None: a set of documents with other batteries or grades is refused."""
    by: str | None = None
    """Who says so; None: the inspector."""
    rules_folder: Path | None = None
    """A site's own rule data, beside the shipped ones."""
