"""Pages of marks into a PDF file: fonts embedded, the same bytes for the same pages."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from reportlab import rl_config
from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.textobject import PDFTextObject

from intake.report.fonts import Face, load_face
from intake.report.marks import DiscMark, GridMark, LineMark, Mark, ShapeMark, TextMark
from intake.report.page import Page, Sheet
from intake.report.palette import Colour
from intake.report.typesetter import Style


@dataclass(frozen=True, slots=True)
class Description:
    """What the file says about itself. ``on`` stands for the day it was made: a date of the batch."""

    title: str
    subject: str
    version: str
    on: date


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that rides inside the document."""

    name: str
    content: bytes
    media_type: str
    description: str


def write_pdf(
    path: Path,
    pages: Sequence[Page],
    *,
    sheet: Sheet,
    description: Description,
    attachments: Sequence[Attachment] = (),
) -> None:
    """Write the pages.

    Raises
    ------
    OSError
        The file can not be written.
    """
    canvas = _canvas(sheet, description)
    for number, page in enumerate(pages):
        _paint(canvas, page, sheet)
        _add_outline(canvas, page, sheet, number)
        canvas.showPage()
    _attach(canvas, attachments)
    path.write_bytes(canvas.getpdfdata())  # type: ignore[no-untyped-call]


def _canvas(sheet: Sheet, description: Description) -> Canvas:
    rl_config.useA85 = 0
    for face in Face:
        load_face(face)
    canvas = Canvas(
        "",
        pagesize=(sheet.width, sheet.height),
        pageCompression=1,
        invariant=1,
        pdfVersion=(1, 7),
        initialFontName=Face.REGULAR.value,  # type: ignore[arg-type]  # the stubs take it for a size
        lang="en",
    )
    maker = f"intake {description.version}"
    canvas.setTitle(description.title)
    canvas.setSubject(description.subject)
    canvas.setAuthor("intake")
    canvas.setCreator(maker)
    canvas.setProducer(f"{maker} with reportlab")
    canvas.setKeywords("used batteries, intake, graded")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.setDateFormatter(lambda *_: f"D:{description.on:%Y%m%d}000000+00'00'")
    return canvas


class _Pen:
    """Draws marks, telling the canvas only what changes from one to the next."""

    def __init__(self, canvas: Canvas, height: float) -> None:
        self._canvas = canvas
        self._height = height
        self._text: PDFTextObject | None = None
        self._style: Style | None = None
        self._fill: Colour | None = None

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
        self._text.textOut(f"{mark.text} ")  # so that a reader that joins lines keeps the words apart

    def _draw_line(self, mark: LineMark, x: float, y: float) -> None:
        self._canvas.setLineWidth(mark.width)
        self._canvas.setStrokeColorRGB(*mark.colour)
        self._canvas.setDash(list(mark.dash))
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
        path = self._canvas.beginPath()
        for rectangle in mark.rectangles:
            path.rect(*rectangle)
        self._canvas.drawPath(path, fill=1, stroke=0)
        self._canvas.restoreState()

    def _colours(self, fill: Colour | None, stroke: Colour | None, width: float) -> tuple[int, int]:
        if fill is not None and fill != self._fill:
            self._canvas.setFillColorRGB(*fill)
            self._fill = fill
        if stroke is not None:
            self._canvas.setStrokeColorRGB(*stroke)
            self._canvas.setLineWidth(width)
            self._canvas.setDash([])
        return int(fill is not None), int(stroke is not None)


def _paint(canvas: Canvas, page: Page, sheet: Sheet) -> None:
    pen = _Pen(canvas, sheet.height)
    for mark, x, y in page.placed:
        pen.draw(mark, x, y)
    pen.end_text()


def _add_outline(canvas: Canvas, page: Page, sheet: Sheet, number: int) -> None:
    for place, entry in enumerate(page.outline):
        key = f"p{number}-{place}"
        canvas.bookmarkPage(key, fit="XYZ", left=0, top=sheet.height - entry.y)
        canvas.addOutlineEntry(entry.title, key, level=entry.level)
        canvas.showOutline()


def _attach(canvas: Canvas, attachments: Sequence[Attachment]) -> None:
    """Add attachments with the library's own objects: it has no call for it."""
    document = canvas._doc  # type: ignore[attr-defined]
    names: list[object] = []
    for one in attachments:
        stream = pdfdoc.PDFStream(content=one.content, filters=[pdfdoc.PDFZCompress])
        stream.dictionary["Type"] = pdfdoc.PDFName("EmbeddedFile")
        stream.dictionary["Subtype"] = "/" + one.media_type.replace("/", "#2F")
        stream.dictionary["Params"] = pdfdoc.PDFDictionary({"Size": len(one.content)})
        held = document.Reference(stream)
        entry = {
            "Type": pdfdoc.PDFName("Filespec"),
            "F": pdfdoc.PDFString(one.name),
            "UF": pdfdoc.PDFString(one.name),
            "Desc": pdfdoc.PDFString(one.description),
            "EF": pdfdoc.PDFDictionary({"F": held, "UF": held}),
        }
        names += [pdfdoc.PDFString(one.name), document.Reference(pdfdoc.PDFDictionary(entry))]
    if names:
        tree = pdfdoc.PDFDictionary({"Names": pdfdoc.PDFArray(names)})
        document.Catalog.Names = pdfdoc.PDFDictionary({"EmbeddedFiles": tree})
