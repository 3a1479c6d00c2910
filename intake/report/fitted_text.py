"""Text in a limited number of lines that says where its rest stands."""

from intake.report.typesetter import Style, Typesetter


def fitted_lines(
    setter: Typesetter, text: str, style: Style, width: float, *, most: int, rest: str
) -> tuple[list[str], bool]:
    """Return the text in at most so many lines, and whether it is whole.

    Where it is not, the last line ends in ``rest``, for which words (or signs of a single long word)
    make room.
    """
    lines = setter.wrap(text, style, width)
    if len(lines) <= most:
        return lines, True
    return [*lines[: most - 1], _with_rest(setter, lines[most - 1], style, width, rest)], False


def _with_rest(setter: Typesetter, line: str, style: Style, width: float, rest: str) -> str:
    words = line.split(" ")
    while len(words) > 1 and setter.width(f"{' '.join(words)} {rest}", style) > width:
        words.pop()
    line = " ".join(words)
    while line and setter.width(f"{line} {rest}", style) > width:
        line = line[:-1]
    return f"{line} {rest}".lstrip()
