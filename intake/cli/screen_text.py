"""Findings and outcomes as lines for a terminal. Reads records, computes nothing."""

import json
from collections.abc import Iterable, Sequence
from pathlib import Path

from intake.model.finding import FINDING_KEYS, Finding, Severity
from intake.report.json.encode import attributes


def printable(text: str) -> str:
    """Return text without anything that could steer a terminal."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else " " for sign in text)


def finding_lines(findings: Iterable[Finding], *, least: Severity = Severity.NOTE) -> Iterable[str]:
    """Yield two lines for each finding that is at least as grave as ``least``."""
    gravest_first = list(Severity)
    for one in findings:
        if gravest_first.index(one.severity) <= gravest_first.index(least):
            who = f"  {one.tag}" if one.tag else ""
            what = f"  {one.field}:" if one.field else ""
            yield printable(f"  {one.severity.value:<8} {one.place}{who}{what} {one.message}")
            if one.hint:
                yield printable(f"           {one.hint}")


def finding_json(workbook: str, finding: Finding) -> str:
    """Return one finding as one line of JSON."""
    return json.dumps(
        {"workbook": workbook, **attributes(finding, (*FINDING_KEYS, "rejects"))}, ensure_ascii=False
    )


def carried_lines(names: Sequence[str]) -> Iterable[str]:
    """Yield the line that names what lies beside new documents and was left as it is."""
    if names:
        yield f"  left untouched beside them: {', '.join(names)}"


def counted(number: int, word: str) -> str:
    """Return ``1 note`` or ``2 notes``."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def severity_counts(findings: Iterable[Finding]) -> str:
    """Return ``1 error, 2 warnings, 0 notes``."""
    severities = [one.severity for one in findings]
    return ", ".join(counted(severities.count(one), one.value) for one in Severity)


def rejected(workbook: Path) -> str:
    """Say that a workbook was rejected."""
    return f"{workbook}: REJECTED, nothing was written for it."


def exists_already(path: Path) -> str:
    """Say that a file was not overwritten."""
    return f"{path} exists already and is left as it is. Choose another name."


def no_folder(path: Path) -> str:
    """Say that a folder was expected."""
    return f"{path} is no folder."


def no_batch(folder: Path) -> str:
    """Say that a folder holds nothing to work on."""
    return f"{folder} holds no graded batch."
