"""Pages of marks into a PDF file: fonts embedded, the same bytes for the same pages."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from functools import partial
from html import escape
from pathlib import Path
from typing import Any, BinaryIO, NamedTuple, Protocol

from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

from intake.report.drawing.fonts import Face, load_face
from intake.report.drawing.page import OutlineEntry, Page, Placed, Sheet
from intake.report.drawing.pdf_objects import ObjectFile
from intake.report.drawing.pdf_pen import content_stream

_LANGUAGE = "en-GB"
_XMP = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/">
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:description><rdf:Alt><rdf:li xml:lang="x-default">{subject}</rdf:li></rdf:Alt></dc:description>
<dc:language><rdf:Bag><rdf:li>{language}</rdf:li></rdf:Bag></dc:language>
<xmp:CreateDate>{made}</xmp:CreateDate><xmp:CreatorTool>{maker}</xmp:CreatorTool>
</rdf:Description></rdf:RDF></x:xmpmeta>
<?xpacket end="w"?>"""
_CHUNK = 1 << 20
"""Bytes of an attached file that are read at a time."""


class Description(NamedTuple):
    """What the file says about itself. ``on`` stands for the day it was made: a date of the batch."""

    title: str
    subject: str
    version: str
    on: date


class Attachment(NamedTuple):
    """A file that rides inside the document under its own name."""

    file: Path
    media_type: str
    description: str


class Furnishing(Protocol):
    """What every page carries."""

    @property
    def foot(self) -> Sequence[Placed]:
        """After the content."""

    def head(self, number: int, count: int) -> Sequence[Placed]:
        """Before the content of page ``number`` of ``count``."""


class PdfPages:
    """The pages of a file that is being written. A page is whole when the next one comes.

    It is drawn and let go then, so that a file of any length takes little memory; the heads, which say how
    many pages there are, follow at the end as a stream of their own before each page's content.
    """

    def __init__(
        self, file: BinaryIO, sheet: Sheet, description: Description, furnishing: Furnishing | None
    ) -> None:
        self._canvas = _canvas(sheet, description)
        self._description = description
        self._objects = ObjectFile(file, self._canvas)
        self._document = self._objects.document
        self._sheet = sheet
        self._furnishing = furnishing
        self._resources = self._document.Reference(_resources())
        self._open: Page | None = None
        self._drawn: list[tuple[Any, Any]] = []

    def append(self, page: Page) -> None:
        """Begin a page. More may be added to it until the next one is begun."""
        self._draw()
        self._open = page

    def finish(self, attachments: Sequence[Attachment]) -> None:
        """Draw the last page and write the heads and everything else."""
        self._draw()
        for number, (drawn, content) in enumerate(self._drawn, start=1):
            head = self._furnishing.head(number, len(self._drawn)) if self._furnishing else ()
            drawn.Contents = pdfdoc.PDFArray([*([self._stream(head)] if head else []), content])
        self._attach(attachments)
        self._document.Catalog.Metadata = self._objects.add_plain(
            xmp_packet(self._description),
            {"Type": pdfdoc.PDFName("Metadata"), "Subtype": pdfdoc.PDFName("XML")},
        )
        self._objects.finish()

    def _draw(self) -> None:
        page, self._open = self._open, None
        if page is None:
            return
        foot = self._furnishing.foot if self._furnishing else ()
        drawn: Any = pdfdoc.PDFPage()
        drawn.pagewidth, drawn.pageheight = self._sheet.width, self._sheet.height
        drawn.Resources = self._resources
        self._add_outline(page)
        self._document.addPage(drawn)
        self._drawn.append((drawn, self._stream([*page.placed, *foot])))

    def _stream(self, placed: Sequence[Placed]) -> Any:
        content = content_stream(placed, canvas=self._canvas, height=self._sheet.height)
        return self._objects.add_stream([content])

    def _add_outline(self, page: Page) -> None:
        """Add what the page opens; a file whose first page opens nothing is listed as a whole."""
        whole = [OutlineEntry(self._description.title, 0, 0.0)] if not self._drawn else []
        for place, entry in enumerate(page.outline or whole):
            key = f"p{len(self._drawn)}-{place}"
            self._canvas.bookmarkPage(key, fit="XYZ", left=0, top=self._sheet.height - entry.y)
            self._canvas.addOutlineEntry(entry.title, key, level=entry.level)
            self._canvas.showOutline()

    def _attach(self, attachments: Sequence[Attachment]) -> None:
        """Add attachments with the library's own objects: it has no call for it."""
        names: list[object] = []
        for one in attachments:
            entries = {
                "Type": pdfdoc.PDFName("EmbeddedFile"),
                "Subtype": "/" + one.media_type.replace("/", "#2F"),
                "Params": pdfdoc.PDFDictionary({"Size": one.file.stat().st_size}),
            }
            with one.file.open("rb") as file:
                held = self._objects.add_stream(iter(partial(file.read, _CHUNK), b""), entries)
            told = {
                "Type": pdfdoc.PDFName("Filespec"),
                "F": pdfdoc.PDFString(one.file.name),
                "UF": pdfdoc.PDFString(one.file.name),
                "Desc": pdfdoc.PDFString(one.description),
                "AFRelationship": pdfdoc.PDFName("Data"),
                "EF": pdfdoc.PDFDictionary({"F": held, "UF": held}),
            }
            filespec = self._document.Reference(pdfdoc.PDFDictionary(told))
            names += [pdfdoc.PDFString(one.file.name), filespec]
        if names:
            catalog = self._document.Catalog
            tree = pdfdoc.PDFDictionary({"Names": pdfdoc.PDFArray(names)})
            catalog.Names = pdfdoc.PDFDictionary({"EmbeddedFiles": tree})
            catalog.__NoDefault__ = [*catalog.__NoDefault__, "AF"]
            catalog.AF = pdfdoc.PDFArray(names[1::2])


def xmp_packet(description: Description) -> bytes:
    """Return title, subject, language and day of a file as XMP (ISO 16684-1)."""
    title, subject = escape(description.title, quote=False), escape(description.subject, quote=False)
    made = f"{description.on:%Y-%m-%d}"
    return _XMP.format(
        title=title, subject=subject, language=_LANGUAGE, made=made, maker=f"intake {description.version}"
    ).encode()


@contextmanager
def pdf_pages(
    path: Path,
    *,
    sheet: Sheet,
    description: Description,
    furnishing: Furnishing | None = None,
    attachments: Sequence[Attachment] = (),
) -> Iterator[PdfPages]:
    """Write the pages that are appended, in order.

    Raises
    ------
    OSError
        The file cannot be written, or a file to attach not be read.
    """
    with path.open("wb") as file:
        pages = PdfPages(file, sheet, description, furnishing)
        yield pages
        pages.finish(attachments)


def _resources() -> Any:
    resources: Any = pdfdoc.PDFResourceDictionary()
    resources.basicFonts()
    return resources


def _canvas(sheet: Sheet, description: Description) -> Canvas:
    for face in Face:
        load_face(face)
    canvas = Canvas(
        "",
        pagesize=(sheet.width, sheet.height),
        pageCompression=1,  # of the fonts; pages are packed here
        invariant=1,
        pdfVersion=(1, 7),
        initialFontName=Face.REGULAR.value,  # type: ignore[arg-type]  # the stubs take it for a size
        lang=_LANGUAGE,
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
