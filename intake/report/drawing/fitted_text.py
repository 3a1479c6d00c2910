"""The first lines of a text that say where its rest stands."""

from collections.abc import Sequence

from intake.report.drawing.typesetter import Style, Typesetter


def first_lines(
    setter: Typesetter, lines: Sequence[str], style: Style, width: float, *, most: int, rest: str
) -> list[str]:
    """Return at most so many of the wrapped lines.

    Where some are left out the last one ends in ``rest``, for which words (or the end of one long word)
    make room.
    """
    if len(lines) <= most:
        return list(lines)
    words = lines[most - 1].split(" ")
    while len(words) > 1 and setter.width(f"{' '.join(words)} {rest}", style) > width:
        words.pop()
    last = " ".join(words)
    while last and setter.width(f"{last} {rest}", style) > width:
        last = last[:-1]
    return [*lines[: most - 1], f"{last} {rest}".lstrip()]
