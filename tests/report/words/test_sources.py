"""Sources as numbered notes."""

from intake.report.words.sources import Sources

LAW = "ADR 4.1.4.1; P801; ADR 2023 (law text, excerpt)"
REPORT = "Leaflet 7; (a), (b); undated (report, excerpt)"


def test_a_source_has_one_number_wherever_it_is_used():
    sources = Sources()

    assert [" [1]", " [2]", " [1]"] == [sources.note(one) for one in (LAW, REPORT, LAW)]
    assert [("1", LAW), ("2", REPORT)] == sources.listed()


def test_citations_in_one_text_are_parted():
    sources = Sources()

    assert " [1, 2]" == sources.note(f"{LAW}; {REPORT}")
    assert [LAW, REPORT] == [text for _, text in sources.listed()]


def test_common_practice_is_a_mark_without_a_number():
    sources = Sources()

    assert " [1, *]" == sources.note(f"{LAW}; lines marked (common practice): no source opened")
    assert " [*]" == sources.note("common practice")
    assert 1 == len(sources.listed())


def test_what_is_provisional_or_from_memory_carries_its_number_and_a_mark():
    sources = Sources()

    assert " [1*]" == sources.note("Provisional: no table opened")
    assert " [2*]" == sources.note("Drop beyond the settling", weak=True)


def test_a_proposal_names_what_it_was_read_from():
    sources = Sources()

    assert " [1†]" == sources.note(f"proposal of this tool, read from: {LAW}")
    assert " [†]" == sources.note("proposal of this tool")
    assert [LAW] == [text for _, text in sources.listed()]


def test_what_comes_from_the_workbook_or_nowhere_has_no_note():
    sources = Sources()

    assert ["", ""] == [sources.note(one) for one in ("", "Batch sheet: Received")]
    assert [] == sources.listed()
