"""The steps of the guide, "Reword a sentence", in a copy of the project: one file."""

import pypdf

from tests.simple_workbook import CRACKED, GOOD, write_workbook

WORDING = "templates/wording.json"
OLD = "Sort by stream as on the disposal sheet."
NEW = "Sort it by waste stream; the disposal sheet names them."


def printed(path):
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(path).pages).split())


def test_a_sentence_stands_in_one_file(copy, tmp_path, named_files):
    pallet = write_workbook(
        tmp_path / "pallet.xlsx", [GOOD, {**CRACKED, "Case": "sound", "Rest voltage (V)": 0.1}]
    )
    copy.grade(pallet, tmp_path / "before")
    copy.replace(WORDING, OLD, NEW)
    copy.grade(pallet, tmp_path / "after")

    before, after = (printed(tmp_path / name / "T-1" / "T-1-manifest.pdf") for name in ("before", "after"))
    assert OLD in before
    assert NEW not in before
    assert NEW in after
    assert OLD not in after
    assert named_files("Reword a sentence") == copy.touched() == {WORDING}
    copy.test("tests/report/manifest", "tests/report/words")
