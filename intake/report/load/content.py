"""What the load sheet says, before it is drawn: streams with their sums, packages, batteries in order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.compliance import Statement, Stream
from intake.model.load import Load, LoadedBattery, LoadTotal, LoadTotals, Package
from intake.report.drawing.plain_text import one_line
from intake.report.words.tag_order import tag_key

CONFIRM = "confirm locally"
"""Printed in place of what the rule data do not say."""


@dataclass(frozen=True, slots=True)
class StreamLine:
    """One stream of the load on one line."""

    title: str
    total: LoadTotal
    gross_kg: float | None
    """Of its packages; None where one was not weighed or there are none."""
    packages: tuple[Package, ...]
    transport: str
    codes: tuple[str, ...]
    packing: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class LoadContent:
    """The load sorted for its sheet."""

    streams: tuple[StreamLine, ...]
    packages: tuple[tuple[Package | None, tuple[LoadedBattery, ...]], ...]
    """Batteries by package; those in none stand last, under None."""


def load_content(load: Load, totals: LoadTotals, streams: Sequence[Stream]) -> LoadContent:
    """Sort a load for its sheet."""
    known = {one.key: one for one in streams}
    return LoadContent(
        streams=tuple(_line(load, key, total, known) for key, total in totals.by_stream.items()),
        packages=tuple(_packed(load)),
    )


def _line(load: Load, key: str, total: LoadTotal, known: Mapping[str, Stream]) -> StreamLine:
    stream = known.get(key)
    names = {one.package for one in load.batteries if (one.stream or "") == key}
    packages = tuple(one for one in load.packages if one.package in names)
    gross = [one.gross_kg for one in packages]
    weighed = [one for one in gross if one is not None]
    line = stream.transport_line if stream else None
    codes = stream.waste_codes if stream else ()
    return StreamLine(
        title=stream.title if stream else "Not waste",
        total=total,
        gross_kg=sum(weighed) if weighed and len(weighed) == len(gross) else None,
        packages=packages,
        transport=_text(line) if stream else "not waste: carriage rules still apply, confirm locally",
        codes=tuple(_text(one) for one in codes),
        packing=stream.packing if stream else (),
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
