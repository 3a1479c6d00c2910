"""The load sheet as a loader, an officer and a receiver read it."""

from datetime import date

import pytest
from pypdf import PdfReader

from intake.compliance.load_on_paper import assess_load
from intake.model.battery import Chemistry
from intake.model.load import GradedSource, Load, LoadHead, LoadKind, Package, Receipt
from intake.model.paper import Paper
from intake.model.verdict import Evidence, Grade, Handling
from intake.register.load_totals import load_totals
from intake.report.load.content import load_content
from intake.report.load.write import write_load_sheet
from tests.changed import replace
from tests.checks.load.builders import BATTERY, RESULTS

LITHIUM = replace(
    BATTERY,
    tag="L-9",
    chemistry=Chemistry.LFP,
    handling=Handling.DAMAGED,
    stream="lfp-damaged",
    mass_kg=None,
    package="P-2",
)
HEAD = LoadHead(
    load="L-1",
    kind=LoadKind.RECYCLING,
    jurisdiction="EU",
    site="Yard 2",
    consignee="Receiver 3",
    date=date(2026, 11, 26),
    prepared_by="Officer 1",
    emergency_telephone="0000 112",
)
LOAD = Load(
    head=HEAD,
    packages=(Package("P-1", "box", "lead-acid-wet", 70.0), Package("P-2", "drum", "lfp-damaged", None)),
    batteries=(
        replace(BATTERY, tag="B-10"),
        replace(BATTERY, tag="B-2", mass_estimated=True, note="<b>&"),
        LITHIUM,
        replace(BATTERY, tag="B-3", package=None, identified_as="nickel-cadmium"),
    ),
    receipt=Receipt(),
    batches=(GradedSource("A", 2, RESULTS),),
)


@pytest.fixture(params=list(Paper), ids=lambda paper: paper.value)
def pages(request, tmp_path):
    return sheet(LOAD, tmp_path / "load.pdf", paper=request.param)


def sheet(load, path, *, paper=Paper.A4):
    """Return the text of each page of a load sheet, on one line each."""
    write_load_sheet(
        load,
        load_totals(load),
        assess_load(load),
        path,
        paper=paper,
        source_sha256="cd" * 32,
        version="9.9.9",
    )
    return [" ".join(page.extract_text().split()) for page in PdfReader(path).pages]


def test_the_first_page_is_the_load_at_a_glance(pages):
    first = pages[0]
    assert "Load L-1: 4 batteries, 45.0 kg net, to a recycler" in first
    assert "A (revision 2)" in first
    assert "UN" in first
    assert "15.0 kg of the net mass is estimated; 1 has no mass and counts 0 kg" in first
    assert "UN 2794 [WASTE] BATTERIES, WET, FILLED WITH ACID, 8, (E)" in first
    assert "16 06 01* 20 01 33* if municipal" in first
    assert 'P908 mark "DAMAGED/DEFECTIVE LITHIUM-ION BATTERIES"' in first.replace("DAMAGED/ ", "DAMAGED/")
    decisions = first.split("Never filled in by the program.")[1]
    assert "Transport adviser: does a relief for used batteries apply?" in decisions
    assert "waste / not waste" in decisions


def test_what_must_not_travel_together_is_about_this_load(pages, tmp_path):
    assert "L-9" in pages[0]
    calm = sheet(
        replace(LOAD, batteries=LOAD.batteries[:2], packages=LOAD.packages[:1]), tmp_path / "calm.pdf"
    )
    assert "lithium" not in calm[0].split("Before anything is loaded")[1].lower()


def test_every_entry_of_the_forms_follows_the_first_page(pages):
    entries = " ".join(pages[1:3])
    for text in ("Receiver 3 known", "0000 112 known", "proposed", "yours", "2: P-1 box, P-2 drum known"):
        assert text in entries


def test_batteries_stand_by_package_as_people_count(pages):
    text = " ".join(pages)
    listed = text.split("Batteries by package")[1]
    assert listed.index("B-2 ") < listed.index("B-10 ")
    assert listed.index("P-2") < listed.index("In no package")
    assert "identified as nickel-cadmium" in listed
    assert "<b>&" in listed


def test_every_page_names_the_load_and_where_it_comes_from(pages):
    for number, text in enumerate(pages, start=1):
        assert text.startswith("Load L-1")
        assert f"page {number} of {len(pages)}" in text
        assert "load workbook cdcdcdcdcdcd" in text
        assert "No legal form" in text


def test_all_cautions_stand_once_before_the_signatures(pages):
    text = " ".join(pages)
    for caution in assess_load(LOAD).cautions:
        assert 1 == text.count(caution)
    assert text.index("Cautions") < text.index("Sign-off")


def test_a_receipt_is_shown_or_left_to_be_written(pages, tmp_path):
    assert "Received on" in " ".join(pages)
    receipt = Receipt(date(2026, 11, 27), "Gate 1", 44.5, 4, "one case cracked", "W-7")
    text = " ".join(sheet(replace(LOAD, receipt=receipt), tmp_path / "received.pdf"))
    for part in ("2026-11-27", "Gate 1", "44.5", "one case cracked", "W-7"):
        assert part in text


def carried(tmp_path, kind, *batteries, jurisdiction="EU"):
    """Return the pages of a load of one kind; what is recycled has its stream, what is sold has none."""
    ones = tuple(
        one if kind is LoadKind.RECYCLING else replace(one, grade=Grade.RESALE, stream=None)
        for one in batteries
    )
    load = replace(
        LOAD, head=replace(HEAD, kind=kind, jurisdiction=jurisdiction), batteries=ones, packages=()
    )
    return sheet(load, tmp_path / f"{kind.value}.pdf")


SOUND_LITHIUM = replace(
    LITHIUM, handling=Handling.INTACT, stream="lfp-intact", package=None, evidence=Evidence.STRENGTH
)
LEAD = replace(BATTERY, package=None)
MARK = "LITHIUM BATTERIES FOR DISPOSAL"


@pytest.mark.parametrize("jurisdiction", ["EU", "UK"])
def test_sold_lithium_gets_no_packing_and_no_mark_of_what_is_recycled(jurisdiction, tmp_path):
    recycled, sold = (
        carried(tmp_path, kind, SOUND_LITHIUM, jurisdiction=jurisdiction)
        for kind in (LoadKind.RECYCLING, LoadKind.SALE)
    )

    assert "P909" in recycled[0]
    assert MARK in recycled[0]
    for text in ("P903", "SP 230"):
        assert text not in " ".join(recycled).split("Sign-off")[0]
    whole = " ".join(sold)
    assert "P903 label 9A" in sold[0]
    for text in (MARK, "Mark for disposal", "Packing P909", "Hazardous properties, proposed", "Word WASTE"):
        assert text not in whole
    for text in ("packing P903", "Not P909", "tested type, SP 230", "small sizes, SP 188", "Ask the airline"):
        assert text in whole


def test_what_the_data_do_not_say_of_sold_lithium_is_to_be_confirmed(tmp_path):
    sold = " ".join(carried(tmp_path, LoadKind.SALE, SOUND_LITHIUM, jurisdiction="US"))
    confirm = sold.split("Confirm locally No checked value for this day:")[1].split("Cautions")[0]
    assert "tested type and test summary, UN 38.3" in confirm
    assert "Relief for disposal or recycling" not in sold
    assert "Relief for disposal or recycling" in " ".join(
        carried(tmp_path, LoadKind.RECYCLING, SOUND_LITHIUM, jurisdiction="US")
    )


@pytest.mark.parametrize("jurisdiction", ["EU", "UK"])
def test_the_relief_for_used_lead_acid_is_told_once_with_its_conditions(jurisdiction, tmp_path):
    recycled, sold = (
        " ".join(carried(tmp_path, kind, LEAD, jurisdiction=jurisdiction))
        for kind in (LoadKind.RECYCLING, LoadKind.SALE)
    )

    assert "Outside ADR if the case is undamaged" in recycled
    assert "Keep to the full rules unless" not in recycled
    assert "Outside ADR" not in sold
    assert 1 == sold.count("Keep to the full rules unless the safety adviser confirms that it fits")
    for condition in ("case undamaged", "secured", "no dangerous acid traces", "no short circuit"):
        assert condition in sold
    for paper in (recycled, sold):
        assert "Not needed where SP 598 fits" not in paper


def test_a_sale_is_asked_nothing_of_waste(tmp_path):
    recycled, sold = (" ".join(carried(tmp_path, kind, LEAD)) for kind in (LoadKind.RECYCLING, LoadKind.SALE))
    for text in ("[WASTE]", "16 06 01", "Planned treatment", "waste form", "Article 61"):
        assert text in recycled
        assert text not in sold
    assert "sold, not as waste" in sold
    assert "UN 2794 BATTERIES, WET" in sold
    assert "Annex XIV" in sold
    assert "Annex XIV" not in recycled


def test_a_return_says_what_holds_for_each_purpose(tmp_path):
    first, *others = carried(tmp_path, LoadKind.RETURN, SOUND_LITHIUM, LEAD)
    assert "is not settled" in first
    assert "keep to the stricter" in first
    assert "[WASTE]" in first
    for text in ("if for disposal or recycling: P909", "if sold: P903", "if waste: 16 06 01*"):
        assert text in first
    assert "sold, not as waste" not in first
    told = " ".join(others)
    assert "Outside ADR if the case is undamaged" in told
    assert "Keep to the full rules unless" in told


@pytest.mark.parametrize(("evidence", "named"), [(Evidence.REST_ONLY, True), (Evidence.LONG_HOLD, False)])
def test_only_what_was_not_held_is_said_to_lack_proof(evidence, named, tmp_path):
    first, *others = carried(tmp_path, LoadKind.SALE, replace(LEAD, evidence=evidence))
    assert named == ("Resale without a hold test" in first)
    words = "rest voltage only" if named else "hold of 12 h or more"
    assert f"no test that counts; read: {words}" in " ".join(others)


@pytest.mark.parametrize(
    ("packages", "line", "whole"),
    [
        (("P-1", "P-1", "P-2", "P-2"), True, True),
        (("P-1", "P-1", "P-2", None), True, False),
        (("P-1", "P-1", "P-1", "P-2"), False, True),
    ],
)
def test_a_gross_mass_is_given_where_packages_hold_one_stream_alone(packages, line, whole):
    lithium = replace(SOUND_LITHIUM, stream="lfp-intact")
    ones = [replace(LEAD, tag="1"), replace(LEAD, tag="2"), replace(lithium, tag="3"), lithium]
    load = replace(
        LOAD,
        packages=(Package("P-1", "box", None, 70.0), Package("P-2", "drum", None, 30.0)),
        batteries=tuple(replace(one, package=name) for one, name in zip(ones, packages, strict=True)),
    )
    said = assess_load(load)
    content = load_content(load, said.streams, said.carriage)
    assert (70.0 if line else None) == content.streams[0].gross_kg
    assert (100.0 if whole else None) == content.gross_kg


def test_a_package_that_was_not_weighed_leaves_the_gross_mass_open():
    load = replace(LOAD, packages=(Package("P-1"),), batteries=(replace(LEAD, package="P-1"),))
    said = assess_load(load)
    content = load_content(load, said.streams, said.carriage)
    assert [None, None] == [content.gross_kg, content.streams[0].gross_kg]


def test_what_the_disposal_sheet_fills_is_filled_here_too(tmp_path):
    weighed = tuple(replace(one, mass_estimated=False) for one in LOAD.batteries[:2])
    load = replace(LOAD, packages=LOAD.packages[:1], batteries=weighed)
    told = " ".join(sheet(load, tmp_path / "load.pdf")[1:])
    for text in (
        "Transport description 1: UN 2794 [WASTE] BATTERIES, WET, FILLED WITH ACID, 8, (E). proposed",
        "Quantity and unit 1: 30.0 kg net, 70.0 kg gross. All: 2 batteries, 30.0 kg net, 70.0 kg gross.",
        "1: 2 flooded. Physical form",
        "Not decided here. For the officer, stream by stream. yours",
        "marks; gross kg 1: P-1 box; 70.0 kg gross",
        "Fill in by hand what is left blank",
    ):
        assert text in told


@pytest.mark.parametrize(
    ("jurisdiction", "name"),
    [
        ("US", "United States"),
        ("UK", "United Kingdom"),
        ("EU", "European Union"),
        ("CA", "Canada"),
        ("other", "Other: UN Model Regulations"),
    ],
)
def test_every_jurisdiction_is_named_and_has_its_un_number_on_page_one(jurisdiction, name, tmp_path):
    load = replace(LOAD, head=replace(HEAD, jurisdiction=jurisdiction))
    first = sheet(load, tmp_path / "load.pdf")[0]
    assert f"Rules of {name}" in first
    assert "2794" in first
    assert "3480" in first


@pytest.mark.parametrize("jurisdiction", ["US", "EU", "UK", "CA", "other"])
@pytest.mark.parametrize("kind", [LoadKind.RECYCLING, LoadKind.RETURN])
def test_the_plastic_of_a_case_is_asked_in_the_united_kingdom_alone(jurisdiction, kind, tmp_path):
    asked = " ".join(carried(tmp_path, kind, LEAD, jurisdiction=jurisdiction))
    assert ("scan result, POPs named" in asked) == (jurisdiction == "UK")


@pytest.mark.parametrize(
    ("jurisdiction", "kind", "column"),
    [
        ("EU", LoadKind.RECYCLING, True),
        ("US", LoadKind.SALE, False),
        ("CA", LoadKind.RECYCLING, False),
        ("other", LoadKind.RECYCLING, False),
    ],
)
def test_without_a_form_no_column_is_kept_for_its_numbers(jurisdiction, kind, column, tmp_path):
    told = " ".join(carried(tmp_path, kind, LEAD, jurisdiction=jurisdiction))
    assert column == ("Form Entry What to write" in told)
    assert column != ("The rule data hold no form" in told)


def test_tags_in_one_package_are_named_together(tmp_path):
    ones = (replace(LITHIUM, tag="L-7"), LITHIUM, *LOAD.batteries[:2])
    before = sheet(replace(LOAD, batteries=ones), tmp_path / "load.pdf")[0]
    assert "Packed without intact ones: L-7, L-9 in P-2. Keep it so" in before


@pytest.mark.parametrize(
    ("handling", "note", "named"),
    [
        (Handling.INTACT, "smells burnt", True),
        (Handling.SUSPECT, None, True),
        (Handling.INTACT, "red label", False),
    ],
)
def test_what_is_to_be_seen_before_loading_is_named(handling, note, named, tmp_path):
    first, *others = LOAD.batteries
    doubtful = replace(first, handling=handling, note=note)
    told = sheet(replace(LOAD, batteries=(doubtful, *others)), tmp_path / "load.pdf")
    before = told[0].split("Before anything is loaded")[1]
    assert named == ("Note speaks of damage" in before)
    assert not named or first.tag in before


@pytest.mark.parametrize(("currency", "printed"), [("EUR", "price 55.00 EUR"), (None, "price 55.00")])
def test_a_sale_names_its_currency_and_says_once_that_it_is_no_waste(currency, printed, tmp_path):
    sold = replace(BATTERY, grade=Grade.RESALE, stream=None, package=None, price="55.00")
    sale = replace(
        LOAD, head=replace(HEAD, kind=LoadKind.SALE, currency=currency), batteries=(sold,), packages=()
    )
    text = " ".join(sheet(sale, tmp_path / "load.pdf"))
    assert printed in text
    assert ("EUR" in text) == (currency is not None)
    assert "not waste: not waste" not in text


@pytest.mark.parametrize("streams", [1, 6])
def test_who_decides_stands_on_page_one_where_it_fits_and_never_alone_on_a_page(streams, tmp_path):
    kinds = (
        (Chemistry.FLOODED, "lead-acid-wet"),
        (Chemistry.AGM, "lead-acid-non-spillable"),
        (Chemistry.EFB, "lead-acid-damaged"),
        (Chemistry.LFP, "lfp-intact"),
        (Chemistry.LFP, "lfp-damaged"),
        (Chemistry.OTHER, "other-or-unknown"),
    )[:streams]
    ones = tuple(
        replace(LEAD, tag=f"T-{number}", chemistry=chemistry, stream=stream, mass_kg=None)
        for number, (chemistry, stream) in enumerate(kinds)
    )
    read = sheet(replace(LOAD, batteries=ones, packages=()), tmp_path / "load.pdf")
    (place,) = [number for number, text in enumerate(read) if "Never filled in by the program." in text]
    entries = next(number for number, text in enumerate(read) if "Entries for the form" in text)
    assert (0, 1) == (place, entries) if streams == 1 else place == entries == 1
    assert "net not known. All:" in " ".join(read)


@pytest.mark.parametrize(
    ("chemistry", "mark", "line"),
    [
        (Chemistry.AGM, True, "2800"),
        (Chemistry.GEL, True, "2800"),
        (Chemistry.AGM, False, "2794"),
        (Chemistry.FLOODED, True, "2794"),
    ],
)
@pytest.mark.parametrize("jurisdiction", ["US", "EU", "UK"])
def test_a_sold_battery_is_described_as_on_the_disposal_sheet(jurisdiction, chemistry, mark, line, tmp_path):
    one = replace(LEAD, chemistry=chemistry, non_spillable_mark=mark)
    first = carried(tmp_path, LoadKind.SALE, one, jurisdiction=jurisdiction)[0]
    described = first.split("Packages, marks")[1].split("Before anything is loaded")[0]
    assert [line] == [number for number in ("2794", "2800") if number in described]


@pytest.mark.parametrize(
    ("drum", "out", "kept"),
    [("P-2", False, True), ("P-1", True, False), (None, True, False)],
)
def test_only_damaged_ones_packed_with_intact_ones_are_ordered_out(drum, out, kept, tmp_path):
    load = replace(LOAD, batteries=(*LOAD.batteries[:2], replace(LITHIUM, package=drum)))
    before = sheet(load, tmp_path / "load.pdf")[0].split("Before anything is loaded")[1]
    assert out == ("Take the damaged ones out." in before)
    assert kept == ("Packed without intact ones: L-9 in P-2. Keep it so, and ask" in before)
    assert "SP 376 gives damaged lithium its own packing" in before
    assert "SP 598" not in before.split("Damaged lithium")[1].split("Lithium beside")[0]


def test_of_two_damaged_ones_each_is_told_where_it_stands(tmp_path):
    among = replace(LITHIUM, tag="L-8", package="P-1")
    load = replace(LOAD, batteries=(*LOAD.batteries[:2], LITHIUM, among))
    before = sheet(load, tmp_path / "load.pdf")[0].split("Before anything is loaded")[1]
    assert "Here 1 LFP (L-8 in P-1) beside 2 flooded. Take the damaged ones out." in before
    assert "Packed without intact ones: L-9 in P-2." in before


def test_damaged_ones_alone_in_a_load_are_ordered_nowhere(tmp_path):
    before = sheet(replace(LOAD, batteries=(LITHIUM,)), tmp_path / "load.pdf")[0]
    assert "beside intact" not in before


@pytest.mark.parametrize(
    ("kind", "plastic", "told"),
    [
        (LoadKind.RECYCLING, "unknown", "Case plastic unknown (England) Here 1 flooded (B-1 in P-1)."),
        (LoadKind.RECYCLING, "other", "Case plastic other than polypropylene (England) Here 1 flooded"),
        (LoadKind.RETURN, "unknown", "Case plastic unknown (England)"),
        (LoadKind.RECYCLING, "PP", ""),
        (LoadKind.SALE, "unknown", ""),
    ],
)
def test_the_plastic_of_a_case_is_told_of_what_may_be_waste(kind, plastic, told, tmp_path):
    head = replace(HEAD, kind=kind, jurisdiction="UK", region="England")
    load = replace(LOAD, head=head, batteries=(replace(BATTERY, case_plastic=plastic),))
    first = sheet(load, tmp_path / "load.pdf")[0]
    assert bool(told) == ("Case plastic" in first)
    assert told in first
