import pytest

from intake.model.raw_workbook import WorkbookRefused
from intake.workbook.reading import part_scan
from intake.workbook.reading.part_scan import PartFacts, scan_part
from tests.workbook.archives import MAIN, STRICT, sheet_xml


def scan(
    xml: str | bytes, *, name: str = "xl/part.xml", unpacked_bytes: int | None = None
) -> PartFacts | None:
    data = xml.encode() if isinstance(xml, str) else xml
    blocks = [data[place : place + 64] for place in range(0, len(data), 64)]
    return scan_part(name, blocks, unpacked_bytes=len(data) if unpacked_bytes is None else unpacked_bytes)


def refused(xml: str | bytes, **more: int) -> str:
    with pytest.raises(WorkbookRefused) as caught:
        scan(xml, **more)
    return str(caught.value)


DECLARATIONS = [
    '<!DOCTYPE a><a xmlns="x"/>',
    '<!DOCTYPE a SYSTEM "http://example.invalid/a.dtd"><a/>',
    '<!DOCTYPE a [<!ENTITY b "b">]><a>&b;</a>',
    '<!DOCTYPE a [<!ENTITY % b SYSTEM "file:///b">%b;]><a/>',
]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("xml", DECLARATIONS)
def test_a_document_type_is_refused_in_every_encoding(xml: str, encoding: str) -> None:
    mark = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}.get(encoding, b"")
    assert "declares a document type" in refused(mark + xml.encode(encoding))


def test_an_entity_bomb_is_refused_at_its_declaration() -> None:
    lines = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 10))
    assert "declares a document type" in refused(f'<!DOCTYPE a [<!ENTITY e0 "ha">{lines}]><a>&e9;</a>')


def test_the_words_inside_a_comment_or_a_text_declare_nothing() -> None:
    assert scan("<a><!-- <!DOCTYPE a> --><![CDATA[<!ENTITY b>]]></a>") == PartFacts("a")


@pytest.mark.parametrize(
    "xml", ["<a><b></a>", "<a>", "<a/><a/>", '<?xml version="1.0" encoding="x-none"?><a/>']
)
def test_a_broken_part_is_refused(xml: str) -> None:
    assert "broken off" in refused(xml)


def test_an_empty_part_has_nothing_to_look_at() -> None:
    assert scan("") is None


def test_a_picture_may_carry_a_document_type_for_nobody_opens_it() -> None:
    assert scan(DECLARATIONS[0], name="xl/media/image1.svg") is None


def test_bytes_that_are_no_xml_are_left_alone() -> None:
    assert scan(b"\x00\x01printer", name="xl/printerSettings/printerSettings1.bin") is None


def test_xml_under_another_name_is_looked_at_as_xml() -> None:
    assert "declares a document type" in refused_named(DECLARATIONS[0], "xl/sheet.dat")


def refused_named(xml: str, name: str) -> str:
    with pytest.raises(WorkbookRefused) as caught:
        scan(xml, name=name)
    return str(caught.value)


def test_the_strict_variant_is_refused_with_what_to_do() -> None:
    with pytest.raises(WorkbookRefused, match="strict variant") as caught:
        scan(sheet_xml("", namespace=STRICT))
    assert "ordinary .xlsx" in caught.value.hint


@pytest.mark.parametrize(
    ("root", "limit", "words"),
    [
        ("worksheet", "128 MiB", "A worksheet"),
        ("sst", "32 MiB", "The table of texts"),
        ("styleSheet", "4 MiB", "A part"),
    ],
)
def test_each_kind_of_part_has_its_own_size_limit(root: str, limit: str, words: str) -> None:
    xml = f'<{root} xmlns="{MAIN}"/>'
    most = int(limit.split()[0]) * 1024 * 1024
    assert scan(xml, unpacked_bytes=most).root == f"{MAIN} {root}"
    message = refused(xml, unpacked_bytes=most + 1)
    assert message.startswith(words)
    assert f"at most {limit}" in message


@pytest.mark.parametrize("place", ["part", "sheet"])
def test_nesting_is_limited_in_sheets_and_in_other_parts(place: str) -> None:
    def nested(depth: int) -> str:
        inside = "<a>" * (depth - 1) + "</a>" * (depth - 1)
        root = "worksheet" if place == "sheet" else "other"
        return f'<{root} xmlns="{MAIN}">{inside}</{root}>'

    assert scan(nested(200)).root.startswith(MAIN)
    assert "nests over 200 deep" in refused(nested(201))


def test_the_pieces_of_the_table_of_texts_are_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(part_scan, "STRING_ELEMENTS_MOST", 5)
    text = "<si><t>a</t></si>"
    assert scan(f'<sst xmlns="{MAIN}">{text * 2}</sst>').root == f"{MAIN} sst"
    assert "over 5 pieces" in refused(f'<sst xmlns="{MAIN}">{text * 3}</sst>')


def test_the_pieces_of_one_text_and_of_any_other_part_are_limited(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(part_scan, "TEXT_ELEMENTS_MOST", 3)
    text = "<si><r/><r/></si>"
    assert scan(f'<sst xmlns="{MAIN}">{text * 2}</sst>').root == f"{MAIN} sst"
    assert "One text of the workbook holds over 3 pieces" in refused(
        f'<sst xmlns="{MAIN}"><si><r/><r/><r/></si></sst>'
    )
    monkeypatch.setattr(part_scan, "PART_ELEMENTS_MOST", 3)
    assert scan("<a><b/><b/></a>") == PartFacts("a")
    assert "A part of the workbook holds over 3 pieces" in refused("<a><b/><b/><b/></a>")


@pytest.mark.parametrize("pieces", ["<sst>{}</sst>", "<worksheet><sheetData>{}</sheetData></worksheet>"])
def test_one_row_or_text_is_limited_in_bytes(pieces: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(part_scan, "HELD_BYTES_MOST", 1000)
    piece = '<si><t x="{}"/></si>' if "sst" in pieces else '<row><c x="{}"/></row>'
    xml = pieces.replace(">", f' xmlns="{MAIN}">', 1)
    assert scan(xml.format(piece.format("x" * 400) * 5))
    assert "One row or one text" in refused(xml.format(piece.format("x" * 1200)))


@pytest.mark.parametrize("piece", ["<!--{}-->", "<?p {}?>", '<b c="{}"/>'])
def test_one_endless_tag_or_comment_is_refused(piece: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(part_scan, "MARKUP_PIECE_BYTES_MOST", 1000)
    assert scan(f"<a>{piece.format('x' * 900)}</a>") == PartFacts("a")
    assert "One tag or comment" in refused(f"<a>{piece.format('x' * 1200)}</a>")


def test_a_long_text_between_tags_is_no_endless_piece(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(part_scan, "MARKUP_PIECE_BYTES_MOST", 1000)
    assert scan(f"<a>{'x' * 5000}</a>") == PartFacts("a")


def test_the_sheet_names_are_listed_in_order() -> None:
    xml = f'<workbook xmlns="{MAIN}"><sheets><sheet name="Ä"/><sheet name="b"/><sheet/></sheets></workbook>'
    assert scan(xml).sheet_names == ("Ä", "b", "")
