"""What the disposal sheet says, before it is drawn: streams with their batteries, and who is in none."""

from collections import Counter
from collections.abc import Sequence
from typing import NamedTuple

from intake.model.battery import Chemistry
from intake.model.compliance import Stream
from intake.model.condition import Condition
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Grade
from intake.report.words.totals import Total, total_of


class StreamPart(NamedTuple):
    """One stream with its batteries; ``number`` is how the document refers to it."""

    number: int
    stream: Stream
    batteries: tuple[GradedBattery, ...]
    total: Total
    largest_kg: float | None
    """Of those that have a mass."""

    @property
    def name(self) -> str:
        """Number and title."""
        return f"{self.number}  {self.stream.title}"


class DisposalContent(NamedTuple):
    """The whole sheet."""

    parts: tuple[StreamPart, ...]
    recycle: Total
    unresolved: tuple[GradedBattery, ...]
    """Lithium that is not intact first, then in workbook order."""
    elsewhere: tuple[tuple[Grade, int], ...]
    """How many batteries the other grades have."""


def disposal_content(result: BatchResult) -> DisposalContent:
    """Sort a graded batch for the compliance officer."""
    by_stream: dict[str, list[GradedBattery]] = {}
    for one in result.graded:
        if one.stream is not None:
            by_stream.setdefault(one.stream, []).append(one)
    streams = [stream for stream in result.compliance.streams if stream.key in by_stream]
    parts = tuple(
        _part(number, stream, by_stream[stream.key]) for number, stream in enumerate(streams, start=1)
    )
    unresolved = [one for one in result.graded if one.verdict.grade is Grade.UNRESOLVED]
    grades = Counter(one.verdict.grade for one in result.graded)
    return DisposalContent(
        parts=parts,
        recycle=total_of(one for part in parts for one in part.batteries),
        unresolved=tuple(sorted(unresolved, key=lambda one: not is_doubtful_lithium(one))),
        elsewhere=tuple((grade, grades[grade]) for grade in (Grade.RESALE, Grade.RECONDITIONABLE)),
    )


def is_doubtful_lithium(one: GradedBattery) -> bool:
    """Say whether a battery is lithium, or may be, and is not known to be intact."""
    if one.battery.chemistry in (Chemistry.OTHER, Chemistry.UNKNOWN):
        return True
    return one.battery.chemistry is Chemistry.LFP and one.condition is not Condition.INTACT


def _part(number: int, stream: Stream, batteries: Sequence[GradedBattery]) -> StreamPart:
    masses = [one.mass_kg for one in batteries if one.mass_kg is not None]
    return StreamPart(
        number=number,
        stream=stream,
        batteries=tuple(batteries),
        total=total_of(batteries),
        largest_kg=max(masses, default=None),
    )
