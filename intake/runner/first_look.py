"""What has to be known of every workbook before the first is graded: its batch name and its digest."""

from pathlib import Path
from typing import NamedTuple

from intake.checks.check_workbook import batch_name
from intake.runner.settings import Settings
from intake.workbook.reading.read_workbook import read_workbook


class FirstLook(NamedTuple):
    """A workbook's batch name and SHA-256, both empty where they cannot be told."""

    batch: str = ""
    source_sha256: str = ""


def first_look(path: Path, settings: Settings) -> FirstLook:
    """Read the ``Batch`` sheet for its name; whatever is wrong is reported when the workbook is graded."""
    try:
        raw = read_workbook(path, only="batch")
        return FirstLook(batch_name(raw, policy=settings.policy) or "", raw.sha256)
    except Exception:  # refused, or a defect of ours: told in its place, when the workbook is graded
        return FirstLook()
