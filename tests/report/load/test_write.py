"""The load sheet as a loader, an officer and a receiver read it."""

from dataclasses import replace
from datetime import date

import pytest
from pypdf import PdfReader

from intake.compliance.load_on_paper import assess_load
from intake.model.battery import Chemistry
from intake.model.load import GradedSource, Load, LoadHead, LoadKind, Package, Receipt
from intake.model.paper import Paper
from intake.model.verdict import Grade, Handling
from intake.register.load_totals import load_totals
from intake.report.load.write import write_load_sheet
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
    said = assess_load(load)
    write_load_sheet(
        load,
        load_totals(load),
        path,
        streams=said.streams,
        carriage=said.carriage,
        warnings=said.warnings,
        forms=said.forms,
        cautions=said.cautions,
        paper=paper,
        rules_sha256=said.rules_sha256,
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
    assert (
        "UN 2794 [WASTE] BATTERIES, WET, FILLED WITH ACID, 8, (E) 16 06 01* 20 01 33* if municipal" in first
    )
    assert 'P908 mark "DAMAGED/DEFECTIVE LITHIUM-ION BATTERIES"' in first.replace("DAMAGED/ ", "DAMAGED/")
    assert "a competent person decides" in first


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


@pytest.mark.parametrize("kind", [LoadKind.SALE, LoadKind.RETURN])
def test_what_is_no_waste_says_so(kind, tmp_path):
    ones = tuple(replace(one, stream=None, package=None, price="12.50") for one in LOAD.batteries[:2])
    load = replace(LOAD, head=replace(HEAD, kind=kind), batteries=ones, packages=())
    text = " ".join(sheet(load, tmp_path / "other.pdf"))
    assert "not waste" in text
    assert "UN" in text
    assert "[WASTE]" not in text
    assert "price 12.50" in text


@pytest.mark.parametrize("jurisdiction", ["US", "UK", "other"])
def test_every_jurisdiction_is_drawn(jurisdiction, tmp_path):
    load = replace(LOAD, head=replace(HEAD, jurisdiction=jurisdiction))
    assert len(sheet(load, tmp_path / "load.pdf")) >= 2


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
