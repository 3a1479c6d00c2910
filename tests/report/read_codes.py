"""Codes on the pages of a PDF, found by a decoder as a scanner would: from the rasterised page."""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pypdfium2
import zxingcpp

QR = zxingcpp.BarcodeFormat.QRCode
CODE_128 = zxingcpp.BarcodeFormat.Code128
SCAN_DPI = 300
"""A flatbed scanner's usual resolution."""


class Code(NamedTuple):
    """A decoded code and the box about it, in points from the top left of its page."""

    kind: zxingcpp.BarcodeFormat
    text: str
    left: float
    top: float
    right: float
    bottom: float


def codes_by_page(path: Path) -> Iterator[list[Code]]:
    """Yield the codes that the decoder finds on each page."""
    document = pypdfium2.PdfDocument(path)
    try:
        for page in document:
            yield [_code(one) for one in zxingcpp.read_barcodes(_grey(page), formats=[QR, CODE_128])]
    finally:
        document.close()


def _grey(page: pypdfium2.PdfPage) -> memoryview:
    bitmap = page.render(scale=SCAN_DPI / 72, grayscale=True)
    raw, stride = bytes(bitmap.buffer), bitmap.stride
    rows = b"".join(raw[row * stride : row * stride + bitmap.width] for row in range(bitmap.height))
    return memoryview(rows).cast("B", shape=[bitmap.height, bitmap.width])


def _code(found: zxingcpp.Barcode) -> Code:
    place = found.position
    corners = (place.top_left, place.top_right, place.bottom_left, place.bottom_right)
    across = [corner.x * 72 / SCAN_DPI for corner in corners]
    down = [corner.y * 72 / SCAN_DPI for corner in corners]
    return Code(found.format, found.text, min(across), min(down), max(across), max(down))
