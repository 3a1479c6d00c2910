"""The fast QR code against the library's own slow one; that codes decode is shown in test_labels_pdf."""

import random

import pytest
from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel

from intake.report.qr_code import qr_rows


def library_rows(text):
    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(text)
    code.make()
    return ["".join("01"[dark] for dark in row) for row in code.modules]


@pytest.mark.parametrize(
    "text",
    [
        "1",
        "A/1",
        "0123456789012345678901234567890",
        "2026-W47-P03/B-001",
        "b" * 40 + "/" + "t" * 32,
        "Küche/Ω 漢字",
        "x" * 200,
    ],
)
def test_a_code_is_the_one_that_the_library_makes(text):
    assert library_rows(text) == qr_rows(text)


def test_random_texts_get_the_mask_that_the_library_chooses():
    chance = random.Random(20261125)
    texts = ["".join(chance.choices("ABXabx0189-/ é", k=chance.randint(1, 60))) for _ in range(150)]
    assert [library_rows(text) for text in texts] == [qr_rows(text) for text in texts]
    masks = {"".join(row[2:5] for row in qr_rows(text)[8:9]) for text in texts}
    assert len(masks) == 8, "the three bits that tell the mask (ISO/IEC 18004, 8.9) take all eight values"
