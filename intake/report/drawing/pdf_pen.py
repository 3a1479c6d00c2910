"""Marks into the content of a page, drawn by the library's canvas."""

from collections.abc import Iterable, Sequence

from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.textobject import PDFTextObject

from intake.report.drawing.marks import DiscMark, GridMark, LineMark, Mark, ShapeMark, TextMark
from intake.report.drawing.page import Placed
from intake.report.drawing.palette import Colour
from intake.report.drawing.typesetter import Style


def content_stream(placed: Iterable[Placed], *, canvas: Canvas, height: float) -> bytes:
    """Return what draws the marks on a page ``height`` points high; what the canvas held is dropped."""
    drawn: list[str] = canvas._code  # type: ignore[attr-defined]  # the library packs whole pages alone
    drawn.clear()
    pen = _Pen(canvas, drawn, height)
    for mark, x, y in placed:
        pen.draw(mark, x, y)
    pen.end_text()
    return "\n".join([*drawn, ""]).encode("latin-1")


class _Pen:
    """Draws marks, telling the canvas only what changes from one to the next."""

    def __init__(self, canvas: Canvas, drawn: list[str], height: float) -> None:
        self._canvas = canvas
        self._drawn = drawn
        self._height = height
        self._text: PDFTextObject | None = None
        self._style: Style | None = None
        self._fill: Colour | None = None
        self._stroke: tuple[Colour, float, Sequence[float]] | None = None

    def draw(self, mark: Mark, x: float, y: float) -> None:
        """Draw one mark, moved by ``x`` and ``y`` points."""
        if isinstance(mark, TextMark):
            self._draw_text(mark, x, y)
            return
        self.end_text()
        if isinstance(mark, LineMark):
            self._draw_line(mark, x, y)
        elif isinstance(mark, DiscMark):
            fill, stroke = self._colours(mark.fill, mark.stroke, mark.width)
            centre = (mark.x + x, self._height - mark.y - y)
            self._canvas.circle(*centre, mark.radius, fill=fill, stroke=stroke)
        elif isinstance(mark, GridMark):
            self._draw_grid(mark, x, y)
        else:
            self._draw_shape(mark, x, y)

    def end_text(self) -> None:
        """Hand the text that was gathered to the canvas."""
        if self._text is not None:
            self._canvas.drawText(self._text)
        self._text = self._style = None

    def _draw_text(self, mark: TextMark, x: float, y: float) -> None:
        if self._text is None:
            self._text = self._canvas.beginText()
        style = mark.style
        if style is not self._style:
            self._text.setFont(style.face.value, style.size)
            if style.colour != self._fill:
                self._text.setFillColorRGB(*style.colour)
                self._fill = style.colour
            self._style = style
        self._text.setTextOrigin(mark.x + x, self._height - mark.y - y)
        spaced = f"{mark.text} "  # so that a reader that joins lines keeps the words apart
        operators = self._text._formatText(spaced)  # type: ignore[attr-defined]  # without measuring it again
        self._text._code.append(operators)  # type: ignore[attr-defined]  # the library has no other way to add them

    def _draw_line(self, mark: LineMark, x: float, y: float) -> None:
        self._set_stroke(mark.colour, mark.width, mark.dash)
        top = self._height - y
        self._canvas.line(mark.x1 + x, top - mark.y1, mark.x2 + x, top - mark.y2)

    def _draw_shape(self, mark: ShapeMark, x: float, y: float) -> None:
        fill, stroke = self._colours(mark.fill, mark.stroke, mark.width)
        path = self._canvas.beginPath()
        (first_x, first_y), *others = mark.points
        path.moveTo(first_x + x, self._height - first_y - y)
        for point_x, point_y in others:
            path.lineTo(point_x + x, self._height - point_y - y)
        path.close()
        self._canvas.drawPath(path, fill=fill, stroke=stroke)

    def _draw_grid(self, mark: GridMark, x: float, y: float) -> None:
        self._canvas.saveState()
        self._canvas.transform(mark.step_x, 0, 0, -mark.step_y, mark.x + x, self._height - mark.y - y)
        self._canvas.setFillColorRGB(*mark.fill)
        cells = " ".join([f"{x} {y} {width} {height} re" for x, y, width, height in mark.rectangles])
        self._drawn += [f"n {cells}", "f*"]  # whole numbers, which the library would round one by one
        self._canvas.restoreState()

    def _colours(self, fill: Colour | None, stroke: Colour | None, width: float) -> tuple[int, int]:
        if fill is not None and fill != self._fill:
            self._canvas.setFillColorRGB(*fill)
            self._fill = fill
        if stroke is not None:
            self._set_stroke(stroke, width, ())
        return int(fill is not None), int(stroke is not None)

    def _set_stroke(self, colour: Colour, width: float, dash: Sequence[float]) -> None:
        if (colour, width, dash) == self._stroke:
            return
        self._canvas.setLineWidth(width)
        self._canvas.setStrokeColorRGB(*colour)
        self._canvas.setDash(list(dash))
        self._stroke = colour, width, dash
