"""The library's PDF objects written to a file one by one: it would hold the whole file three times over.

What is whole is written and let go at once: pages' content, files that ride inside. The rest follows at the
end, in the order in which the library numbered it.
"""

import zlib
from collections.abc import Iterable, Mapping
from typing import Any, BinaryIO

from reportlab.pdfbase import pdfdoc
from reportlab.pdfgen.canvas import Canvas

_END = b"endobj\n"


class ObjectFile:
    """Writes the objects of a canvas's document."""

    def __init__(self, file: BinaryIO, canvas: Canvas) -> None:
        self._file = file
        self._canvas = canvas
        self.document: Any = canvas._doc  # type: ignore[attr-defined]  # the library shows it in no other way
        """The library's own, in which pages and attachments are entered."""
        self._offset = 0
        self._write(pdfdoc.PDFFile(self.document._pdfVersion).format(self.document))

    def add_stream(self, parts: Iterable[bytes], entries: Mapping[str, object] | None = None) -> Any:
        """Pack and write a stream, and return the reference to it.

        The library's own way from a stream to the file would copy it four times.
        """
        packer, packed = zlib.compressobj(), []
        for part in parts:
            self.document.updateSignature(part)  # the same however it is packed
            packed.append(packer.compress(part))
        packed.append(packer.flush())
        told = {"Filter": pdfdoc.PDFName("FlateDecode"), "Length": sum(map(len, packed))}
        reference = self.document.Reference(pdfdoc.PDFDictionary({**(entries or {}), **told}))
        begun = self._begun(reference.name).removesuffix(_END)
        for piece in (begun, b"stream\n", *packed, b"endstream\n", _END):
            self._write(piece)
        return reference

    def add_plain(self, content: bytes, entries: Mapping[str, object]) -> Any:
        """Write a stream as it is, and return the reference to it."""
        stream = pdfdoc.PDFStream(dictionary=pdfdoc.PDFDictionary(dict(entries)), content=content)
        reference = self.document.Reference(stream)
        self._put(reference.name)
        return reference

    def finish(self) -> None:
        """Write everything else: fonts, outline, pages, and where each object stands."""
        document = self.document
        for font in document.delayedFonts:
            font.addObjects(document)
        document.info.invariant = document.invariant
        document.info.digest(document.signature)
        catalog, info = document.Reference(document.Catalog), document.Reference(document.info)
        document.Outlines.prepare(document, self._canvas)
        if document.Outlines.ready < 0:
            document.Catalog.Outlines = None
        number = 0
        while (number := number + 1) in document.numberToId:  # writing an object may number further ones
            name = document.numberToId[number]
            if name not in document.idToOffset:
                self._put(name)
        start = self._offset
        table = pdfdoc.PDFCrossReferenceTable()
        table.addsection(0, [document.numberToId[one] for one in range(1, number)])
        self._write(table.format(document))
        trailer = pdfdoc.PDFTrailer(start, Size=number, Root=catalog, Info=info, ID=document.ID())
        self._write(trailer.format(document))

    def _put(self, name: str) -> None:
        self._write(self._begun(name))

    def _begun(self, name: str) -> bytes:
        """Return an object as it stands in the file, which begins here, and let go of it."""
        document = self.document
        document.idToOffset[name] = self._offset
        content: bytes = pdfdoc.PDFIndirectObject(name, document.idToObject[name]).format(document)
        document.idToObject[name] = None
        return content

    def _write(self, content: bytes) -> None:
        self._offset += len(content)
        self._file.write(content)
