"""What several documents say stream by stream: each text once, with the numbers of its streams."""

from collections.abc import Iterable, Mapping

from intake.model.compliance import Statement, Stream
from intake.report.words.sources import CONFIRM, Sources

Numbered = tuple[int, Stream]
"""A stream with the number by which the document refers to it."""


def told_or_confirm(one: Statement | None) -> str:
    """Return the text of a statement, or that it has to be confirmed locally."""
    return CONFIRM if one is None or one.text is None else one.text


def by_stream(texts: Iterable[tuple[int, str]]) -> str:
    """Return a text for each stream, those alike once, with the numbers of the streams before them."""
    numbers: dict[str, list[str]] = {}
    for number, text in texts:
        numbers.setdefault(text, []).append(str(number))
    return " ".join(f"{', '.join(of)}: {text}." for text, of in numbers.items())


def statements_by_stream(streams: Iterable[Numbered], *, storage: bool) -> dict[Statement, str]:
    """Return each statement once, with the numbers of the streams that have it.

    Parameters
    ----------
    storage
        Also what holds while they are stored.
    """
    found: dict[Statement, list[str]] = {}
    for number, stream in streams:
        stored = stream.storage if storage else ()
        for one in (*stream.waste_codes, *stream.packing, *stored, *stream.statements):
            found.setdefault(one, []).append(str(number))
    return {one: ", ".join(numbers) for one, numbers in found.items()}


def told_by_stream(found: Mapping[Statement, str], sources: Sources) -> list[tuple[str, str]]:
    """Return heading with numbers, and text with its sources; last what has to be confirmed locally."""
    told = [
        (f"{one.heading} ({numbers})", one.text + sources.note(one.source))
        for one, numbers in found.items()
        if one.text is not None
    ]
    withheld = [_withheld(one) for one in found if one.text is None]
    if withheld:
        told.append(("Confirm locally", f"No checked value for this day: {'; '.join(withheld)}."))
    return told


def _withheld(one: Statement) -> str:
    return f"{one.heading}, from {one.valid_from}" if one.valid_from else one.heading
