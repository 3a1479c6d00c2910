"""What the load sheet says, before it is drawn: streams with their sums, packages, batteries in order."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.compliance import Purpose, Stream
from intake.model.kilograms import sum_kg
from intake.model.load import Load, LoadedBattery, Package
from intake.report.drawing.plain_text import one_line
from intake.report.words.battery import chemistry_in_words
from intake.report.words.by_stream import told_or_confirm
from intake.report.words.tag_order import tag_key
from intake.report.words.waste_codes import codes_in_short, packages_in_short

SOLD = "sold, not as waste"
_IF_WASTE = "if waste: "
_WASTE = "[WASTE] "
"""Stands in a description of carriage for what may be waste."""


@dataclass(frozen=True, slots=True)
class StreamLine:
    """One stream of the load on one line; ``number`` is how the sheet refers to it."""

    number: int
    stream: Stream
    chemistries: str
    """How many of each, in words."""
    count: int
    net_kg: float | None
    """Of those that have a mass; None where none has one."""
    gross_kg: float | None
    """Of its packages; None where that is not known of each battery of the stream."""
    packages: tuple[Package, ...]
    transport: str
    codes: tuple[str, ...]
    """In short, as they are in force on the day."""
    marks: tuple[str, ...]
    """Packing instructions and marks in short."""

    @property
    def name(self) -> str:
        """Number and title."""
        return f"{self.number}  {self.stream.title}"


@dataclass(frozen=True, slots=True)
class LoadContent:
    """The load sorted for its sheet."""

    streams: tuple[StreamLine, ...]
    packages: tuple[tuple[Package | None, tuple[LoadedBattery, ...]], ...]
    """Batteries by package; those in none stand last, under None."""
    gross_kg: float | None
    """Of the whole load; None where a battery stands in no package, or a package was not weighed."""


def load_content(load: Load, streams: Sequence[Stream], carriage: Mapping[str, str]) -> LoadContent:
    """Sort a load for its sheet.

    Parameters
    ----------
    streams
        Those that have a battery in it, in the order in which they are listed.
    carriage
        For each battery, as batch/tag, the key of the stream whose rules of carriage it meets.
    """
    parts: dict[str, list[LoadedBattery]] = {one.key: [] for one in streams}
    for one in load.batteries:
        parts[carriage[f"{one.batch}/{one.tag}"]].append(one)
    return LoadContent(
        streams=tuple(
            _line(load, number, stream, parts[stream.key]) for number, stream in enumerate(streams, start=1)
        ),
        packages=tuple(_packed(load)),
        gross_kg=_gross(load, load.batteries),
    )


def _line(load: Load, number: int, stream: Stream, ones: Sequence[LoadedBattery]) -> StreamLine:
    names = {one.package for one in ones}
    purpose = load.head.kind.purpose
    described = one_line(told_or_confirm(stream.transport_line))
    masses = [one.mass_kg for one in ones if one.mass_kg is not None]
    chemistries = Counter(chemistry_in_words(one.chemistry) for one in ones)
    return StreamLine(
        number=number,
        stream=stream,
        chemistries=", ".join(f"{count} {name}" for name, count in chemistries.items()),
        count=len(ones),
        net_kg=sum_kg(masses) if masses else None,
        gross_kg=_gross(load, ones),
        packages=tuple(one for one in load.packages if one.package in names),
        transport=described.replace(_WASTE, "") if purpose is Purpose.SALE else described,
        codes=_codes(load, stream),
        marks=packages_in_short(stream, settled=purpose is not None),
    )


def _codes(load: Load, stream: Stream) -> tuple[str, ...]:
    """Return the waste codes: none of what is sold, in doubt of what goes back."""
    purpose = load.head.kind.purpose
    if purpose is Purpose.SALE:
        return (SOLD,)
    codes = codes_in_short(stream, load.head.date)
    return codes if purpose is Purpose.DISPOSAL else tuple(f"{_IF_WASTE}{one}" for one in codes)


def _gross(load: Load, ones: Sequence[LoadedBattery]) -> float | None:
    """Return the gross mass of batteries that fill their packages alone."""
    names = {one.package for one in ones}
    inside = sum(one.package in names for one in load.batteries)
    masses = [one.gross_kg for one in load.packages if one.package in names]
    weighed = [mass for mass in masses if mass is not None]
    if None in names or inside != len(ones) or not weighed or len(weighed) != len(names):
        return None
    return sum_kg(weighed)


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
