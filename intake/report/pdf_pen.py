"""Marks into the operators of a page's content stream, telling only what changes from one to the next."""

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

from intake.report.fonts import Face, load_face
from intake.report.marks import DiscMark, GridMark, LineMark, ShapeMark, TextMark
from intake.report.page import Placed
from intake.report.palette import Colour
from intake.report.typesetter import Style

_ROUND = 0.5522847
"""Of the radius: where the handles of a quarter of a circle stand, drawn as one Bézier curve."""
_ESCAPED = str.maketrans({"\\": r"\\", "(": r"\(", ")": r"\)", "\r": r"\r", "\n": r"\n"})
_PAINT = {(True, True): "B*", (True, False): "f*", (False, True): "S", (False, False): "n"}
"""By whether it is filled and drawn round."""
_COLOURS = 64


def content_stream(placed: Iterable[Placed], *, document: Any, height: float) -> bytes:
    """Return the operators that draw the marks on a page ``height`` points high.

    ``document`` is the library's; the signs that are used count as used there.
    """
    pen = _Pen(document, height)
    for mark, x, y in placed:
        pen.draw(mark, x, y)
    return pen.content()


class _Pen:
    """Gathers operators."""

    def __init__(self, document: Any, height: float) -> None:
        self._document = document
        self._height = height
        self._code: list[str] = []
        self._in_text = False
        self._style: Style | None = None
        self._font = ""
        self._fill: Colour | None = None

    def content(self) -> bytes:
        """Return everything drawn so far."""
        self._end_text()
        return "\n".join([*self._code, ""]).encode("latin-1")

    def draw(self, mark: object, x: float, y: float) -> None:
        """Draw one mark, moved by ``x`` and ``y`` points."""
        if isinstance(mark, TextMark):
            self._draw_text(mark, x, y)
            return
        self._end_text()
        if isinstance(mark, LineMark):
            self._draw_line(mark, x, y)
        elif isinstance(mark, DiscMark):
            self._draw_disc(mark, x, y)
        elif isinstance(mark, GridMark):
            self._draw_grid(mark, x, y)
        elif isinstance(mark, ShapeMark):
            self._draw_shape(mark, x, y)

    def _end_text(self) -> None:
        if self._in_text:
            self._code.append("ET")
        self._in_text, self._style = False, None

    def _draw_text(self, mark: TextMark, x: float, y: float) -> None:
        if not self._in_text:
            self._code.append("BT 1 0 0 1 0 0 Tm")  # from the corner, so that a reader sees a new line begin
            self._in_text = True
        style = mark.style
        if style is not self._style:
            self._style, self._font = style, ""
            self._fill_with(style.colour)
        self._code.append(f"1 0 0 1 {_figures(mark.x + x, self._height - mark.y - y)} Tm")
        # a space at the end keeps the words apart for a reader that joins lines
        for font, text in _in_fonts(f"{mark.text} ", style.face, self._document):
            if font != self._font:
                self._code.append(f"{font} {_figures(style.size)} Tf")
                self._font = font
            self._code.append(f"({text}) Tj")

    def _draw_line(self, mark: LineMark, x: float, y: float) -> None:
        top = self._height - y
        self._stroke_with(mark.colour, mark.width, mark.dash)
        start = _figures(mark.x1 + x, top - mark.y1)
        self._code.append(f"{start} m {_figures(mark.x2 + x, top - mark.y2)} l S")

    def _draw_disc(self, mark: DiscMark, x: float, y: float) -> None:
        self._prepare(mark.fill, mark.stroke, mark.width)
        centre_x, centre_y = mark.x + x, self._height - mark.y - y
        self._code.append(f"{_figures(centre_x + mark.radius, centre_y)} m")
        for across, up in ((1, 0), (0, 1), (-1, 0), (0, -1)):  # from the right, against the clock
            curve = ((1, _ROUND), (_ROUND, 1), (0, 1))
            points = ((across * a - up * b, up * a + across * b) for a, b in curve)
            ends = (
                end for a, b in points for end in (centre_x + a * mark.radius, centre_y + b * mark.radius)
            )
            self._code.append(f"{_figures(*ends)} c")
        self._code.append(f"h {_painted(mark.fill, mark.stroke)}")

    def _draw_shape(self, mark: ShapeMark, x: float, y: float) -> None:
        self._prepare(mark.fill, mark.stroke, mark.width)
        top = self._height - y
        points = [_figures(point_x + x, top - point_y) for point_x, point_y in mark.points]
        lines = " ".join(f"{point} l" for point in points[1:])
        self._code.append(f"{points[0]} m {lines} h {_painted(mark.fill, mark.stroke)}")

    def _draw_grid(self, mark: GridMark, x: float, y: float) -> None:
        self._fill_with(mark.fill)
        corner = _figures(mark.x + x, self._height - mark.y - y)
        self._code.append(f"q {mark.step_x:.6f} 0 0 {-mark.step_y:.6f} {corner} cm")
        self._code.extend(f"{a} {b} {c} {d} re" for a, b, c, d in mark.rectangles)
        self._code.append("f* Q")

    def _prepare(self, fill: Colour | None, stroke: Colour | None, width: float) -> None:
        if fill is not None:
            self._fill_with(fill)
        if stroke is not None:
            self._stroke_with(stroke, width, ())

    def _fill_with(self, colour: Colour) -> None:
        if colour != self._fill:
            self._code.append(f"{_levels(colour)} rg")
            self._fill = colour

    def _stroke_with(self, colour: Colour, width: float, dash: tuple[float, ...]) -> None:
        self._code.append(f"{_figures(width)} w {_levels(colour)} RG [{_figures(*dash)}] 0 d")


def _in_fonts(text: str, face: Face, document: Any) -> list[tuple[str, str]]:
    """Return text in the parts that one font of the file can draw, each escaped, with the font's name."""
    font = load_face(face)
    if text.isascii():  # the first font of each face holds it under its own numbers
        return [(font.getSubsetInternalName(0, document), text.translate(_ESCAPED))]
    return [
        (font.getSubsetInternalName(subset, document), signs.decode("latin-1").translate(_ESCAPED))
        for subset, signs in font.splitString(text, document)
    ]


def _painted(fill: Colour | None, stroke: Colour | None) -> str:
    return _PAINT[fill is not None, stroke is not None]


def _figures(*values: float) -> str:
    """Return lengths in points, to a thousandth."""
    return " ".join([f"{value:.3f}".rstrip("0").rstrip(".") for value in values])


@lru_cache(maxsize=_COLOURS)
def _levels(colour: Colour) -> str:
    return _figures(*colour)
