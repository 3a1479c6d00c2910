"""Waste codes, packages and marks of a stream in short, as a first page prints them."""

from datetime import date

from intake.model.compliance import Purpose, Stream
from intake.report.words.sources import CONFIRM


def codes_in_short(stream: Stream, day: date) -> tuple[str, ...]:
    """Return the codes in force on a day, a line each; what was not checked is to be confirmed locally."""
    in_force = [one for one in stream.waste_codes if one.holds(day)]
    found = [one.short for one in in_force if one.short]
    unchecked = not found or any(one.text is None for one in in_force)
    return (*found, CONFIRM) if unchecked else tuple(found)


_ONLY_IF = {Purpose.DISPOSAL: "if for disposal or recycling: ", Purpose.SALE: "if sold: "}


def packages_in_short(stream: Stream, *, settled: bool = True) -> tuple[str, ...]:
    """Return packing instructions and marks, a line each.

    Parameters
    ----------
    settled
        What the batteries are carried for is known; else what holds for one purpose alone says so.
    """
    found = [
        one.short if settled or one.purpose is None else f"{_ONLY_IF[one.purpose]}{one.short}"
        for one in (*stream.packing, *stream.statements)
        if one.short
    ]
    return tuple(found) or (CONFIRM,)
