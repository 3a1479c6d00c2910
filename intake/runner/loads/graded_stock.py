"""The batteries of graded batches, as far as a load needs them."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from textwrap import shorten
from typing import Any

from intake.compliance.streams import stream_to_leave_by
from intake.model.battery import Chemistry
from intake.model.load import UNKNOWN_PLASTIC, GradedSource, LoadedBattery
from intake.model.verdict import Evidence, Grade, Handling
from intake.policy.second_look import handled_as, look_again_because
from intake.runner.find_results import find_results
from intake.runner.read_results import ResultsRefused, results_document

_NOTE_CHARACTERS = 500
"""The most that a load workbook takes as a note."""
_LOADABLE = (
    *("tag", "chemistry", "grade", "handling", "evidence", "stream", "mass_kg", "mass_estimated"),
    *("case", "note", "under_recall", "non_spillable_mark", "case_plastic"),
)
"""What a load needs of a battery."""


@dataclass(frozen=True, slots=True)
class GradedStock:
    """One graded batch: its name, where it came in, and every battery of it."""

    source: GradedSource
    said: Mapping[str, Any]
    """The keys of its Batch sheet."""
    batteries: tuple[LoadedBattery, ...]
    path: Path


def graded_stocks(roots: Iterable[Path], *, recursive: bool) -> tuple[list[GradedStock], list[str]]:
    """Return every graded batch below the folders, and a sentence for each file that was left out."""
    stocks: dict[str, GradedStock] = {}
    left_out: list[str] = []
    for root in roots:
        files, closed = find_results(root, recursive=recursive)
        left_out += [f"{root / one.file}: {one.reason}" for one in closed]
        for _, path in files:
            try:
                stock = read_stock(path)
            except ResultsRefused as refusal:
                left_out.append(f"{path}: {refusal}")
                continue
            earlier = stocks.setdefault(stock.source.batch.casefold(), stock)
            if earlier.source != stock.source:
                left_out.append(
                    f"{path}: batch {stock.source.batch} stands in {earlier.path} with other contents."
                )
    return sorted(stocks.values(), key=lambda one: (one.said["received"], one.source.batch)), left_out


def read_stock(path: Path) -> GradedStock:
    """Return one graded batch.

    Raises
    ------
    ResultsRefused
        The file cannot be used.
    """
    document, digest = results_document(path, battery=_loadable)
    said = document["batch"]
    source = GradedSource(said["batch"], document.get("revision", 1), digest)
    return GradedStock(source, said, tuple(_batteries(document, source)), path)


def _loadable(battery: Mapping[str, Any]) -> dict[str, Any]:
    return {key: battery[key] for key in _LOADABLE if key in battery}


def _batteries(document: Mapping[str, Any], source: GradedSource) -> Iterator[LoadedBattery]:
    for one in document["batteries"]:
        chemistry, grade = Chemistry(one["chemistry"]), Grade(one["grade"])
        yield LoadedBattery(
            batch=source.batch,
            tag=one["tag"],
            revision=source.revision,
            chemistry=chemistry,
            grade=grade,
            handling=handled_as(
                handling=Handling(one["handling"]), case=one.get("case"), note=one.get("note")
            ),
            evidence=Evidence(one["evidence"]),
            stream=stream_to_leave_by(chemistry=chemistry, grade=grade, stream=one["stream"]),
            mass_kg=one["mass_kg"],
            mass_estimated=one["mass_estimated"],
            note=_note(one),
            non_spillable_mark=one.get("non_spillable_mark", False),
            case_plastic=one.get("case_plastic", UNKNOWN_PLASTIC),
        )


def _note(one: Mapping[str, Any]) -> str | None:
    """Return the battery's own note, and what a recall or a second look asks for; None: there is nothing."""
    why = look_again_because(case=one.get("case"), note=one.get("note"))
    told = (
        "Under recall: follow the recall notice." if one.get("under_recall") else "",
        f"Set apart, look again first: {why}." if why else "",
    )
    asked = " ".join(text for text in told if text)
    own = shorten(one.get("note") or "", _NOTE_CHARACTERS - len(asked) - 1, placeholder=" …")
    return " ".join(text for text in (asked, own) if text) or None
