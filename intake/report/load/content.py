"""What the load sheet says, before it is drawn: streams with their sums, packages, batteries in order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.compliance import Statement, Stream
from intake.model.kilograms import sum_kg
from intake.model.load import Load, LoadedBattery, Package
from intake.report.drawing.plain_text import one_line
from intake.report.words.tag_order import tag_key
from intake.report.words.waste_codes import codes_in_short, packages_in_short

CONFIRM = "confirm locally"
"""Printed in place of what the rule data do not say."""
NOT_WASTE = "not waste"
_WASTE = "[WASTE] "
"""Stands in a description of carriage for what may be waste."""


@dataclass(frozen=True, slots=True)
class StreamLine:
    """One stream of the load on one line."""

    title: str
    count: int
    net_kg: float
    """Of those that have a mass."""
    gross_kg: float | None
    """Of its packages; None where one was not weighed or there are none."""
    packages: tuple[Package, ...]
    transport: str
    codes: tuple[str, ...]
    """In short, as they are in force on the day."""
    marks: tuple[str, ...]
    """Packing instructions and marks in short."""
    conditions: tuple[Statement, ...]
    """What the rule data say of its codes and packing, in full."""


@dataclass(frozen=True, slots=True)
class LoadContent:
    """The load sorted for its sheet."""

    streams: tuple[StreamLine, ...]
    packages: tuple[tuple[Package | None, tuple[LoadedBattery, ...]], ...]
    """Batteries by package; those in none stand last, under None."""


def load_content(load: Load, streams: Sequence[Stream], carriage: Mapping[str, str]) -> LoadContent:
    """Sort a load for its sheet.

    Parameters
    ----------
    carriage
        For each battery, as batch/tag, the key of the stream whose rules of carriage it meets.
    """
    parts: dict[tuple[str, bool], list[LoadedBattery]] = {}
    for one in load.batteries:
        parts.setdefault((carriage[f"{one.batch}/{one.tag}"], one.stream is not None), []).append(one)
    known = {one.key: one for one in streams}
    return LoadContent(
        streams=tuple(_line(load, known[key], ones, waste) for (key, waste), ones in parts.items()),
        packages=tuple(_packed(load)),
    )


def _line(load: Load, stream: Stream, ones: Sequence[LoadedBattery], waste: bool) -> StreamLine:
    names = {one.package for one in ones}
    packages = tuple(one for one in load.packages if one.package in names)
    gross = [one.gross_kg for one in packages]
    weighed = [one for one in gross if one is not None]
    described = _text(stream.transport_line)
    return StreamLine(
        title=stream.title if waste else f"{stream.title}; {NOT_WASTE}",
        count=len(ones),
        net_kg=sum_kg(one.mass_kg for one in ones if one.mass_kg is not None),
        gross_kg=sum_kg(weighed) if weighed and len(weighed) == len(gross) else None,
        packages=packages,
        transport=described if waste else described.replace(_WASTE, ""),
        codes=codes_in_short(stream, load.head.date) if waste else (NOT_WASTE,),
        marks=packages_in_short(stream),
        conditions=(*(stream.waste_codes if waste else ()), *stream.packing),
    )


def _text(statement: Statement | None) -> str:
    return one_line(statement.text) if statement and statement.text else CONFIRM


def _packed(load: Load) -> list[tuple[Package | None, tuple[LoadedBattery, ...]]]:
    known: list[Package | None] = [*load.packages, None]
    found = []
    for package in known:
        name = package.package if package else None
        inside = sorted(
            (one for one in load.batteries if one.package == name),
            key=lambda one: (tag_key(one.batch), tag_key(one.tag)),
        )
        if inside:
            found.append((package, tuple(inside)))
    return found
