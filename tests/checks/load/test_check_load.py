"""A load workbook: what is taken over, and what rejects it at which cell."""

from datetime import date, timedelta

import pytest

from intake.checks import finding_log
from intake.model.battery import Chemistry
from intake.model.load import LoadKind, Package, Receipt
from intake.model.verdict import Evidence, Grade, Handling
from tests.changed import replace
from tests.checks.load.builders import BATTERY, HEAD, PACKAGE, TODAY, check, errors, row_of

LITHIUM = replace(
    BATTERY, tag="L-9", chemistry=Chemistry.LFP, handling=Handling.DAMAGED, stream="lfp-damaged", mass_kg=6.0
)


def only_error(checked, sheet, cell, *parts):
    (found,) = errors(checked)
    assert (sheet, cell) == found[:2]
    for part in parts:
        assert part in found[2]
    assert checked.load is None


@pytest.mark.parametrize(
    "written", ["lead-acid-wet", "Lead-acid, wet, case whole", " lead-acid, WET, case whole "]
)
def test_a_stream_may_be_written_by_its_name_or_its_key(written):
    checked = check([row_of(Stream=written)], packages=({**PACKAGE, "Stream": written},))
    assert [] == errors(checked)
    assert checked.load is not None
    assert ["lead-acid-wet"] == [one.stream for one in checked.load.batteries]
    assert ["lead-acid-wet"] == [one.stream for one in checked.load.packages]


def test_a_stream_that_nobody_knows_fits_no_package():
    checked = check(packages=({**PACKAGE, "Stream": "scrap"},))
    only_error(checked, "Batteries", "B2", 'holds "scrap"', 'the stream "Lead-acid, wet, case whole"')


def test_a_whole_load_is_typed():
    load = check(receipt={"Received on": date(2026, 11, 27), "Weight (kg)": "14,6", "Count": 1}).load
    assert load is not None
    assert (LoadKind.RECYCLING, date(2026, 11, 26), "Receiver 3") == (
        load.head.kind,
        load.head.date,
        load.head.consignee,
    )
    assert (replace(BATTERY, row=2),) == load.batteries
    assert (Package("P-1", None, "lead-acid-wet", 40.0),) == load.packages
    assert Receipt(date(2026, 11, 27), None, 14.6, 1) == load.receipt
    assert ["A"] == [one.batch for one in load.batches]


def test_a_row_without_a_tick_stays_in_the_yard():
    other = replace(BATTERY, tag="B-2")
    load = check(
        [row_of(), row_of(other, **{"In this load": None}), row_of(other, **{"In this load": "no"})]
    ).load
    assert load is not None
    assert ["B-1"] == [one.tag for one in load.batteries]


def test_no_tick_at_all_rejects():
    only_error(check([row_of(**{"In this load": None})]), "Batteries", "", "No battery is in this load")


@pytest.mark.parametrize("missing", ["Load", "Batteries", "Batches"])
def test_a_missing_sheet_rejects(missing):
    checked = check(leave_out=(missing,))
    assert checked.load is None
    assert any(f'"{missing}"' in message for _, _, message in errors(checked))


@pytest.mark.parametrize("missing", ["Packages", "Receipt"])
def test_packages_and_receipt_may_be_missing(missing):
    rows = [row_of(replace(BATTERY, package=None))]
    load = check(rows, leave_out=(missing,)).load
    assert load is not None
    assert Receipt() == load.receipt


def test_a_needed_field_that_is_blank_rejects_at_its_cell():
    only_error(check(head={**HEAD, "Prepared by": None}), "Load", "B8", "needed")


def test_a_jurisdiction_without_rule_data_rejects():
    only_error(check(head={**HEAD, "Jurisdiction": "XX"}), "Load", "B4", '"XX"', "no jurisdiction")


def test_a_cell_that_cannot_be_read_rejects():
    only_error(
        check([row_of(), row_of(replace(BATTERY, tag="B-2"), **{"Mass (kg)": "heavy"})]), "Batteries", "J3"
    )


def test_a_needed_cell_that_is_blank_rejects():
    only_error(check([row_of(), row_of(replace(BATTERY, tag="B-2"), Grade=None)]), "Batteries", "G3", "empty")


def test_a_list_without_headers_rejects():
    checked = check(batches=[{"Nothing": 1}])
    assert checked.load is None
    assert any(sheet == "Batches" for sheet, _, _ in errors(checked))


def test_a_package_that_stands_twice_rejects():
    only_error(check(packages=(PACKAGE, PACKAGE)), "Packages", "A3", "A2")


@pytest.mark.parametrize(
    ("receipt", "cell", "part"),
    [
        ({"Count": 1.5}, "B2", "1.5 is no number of batteries"),
        ({"Received on": HEAD["Date"] - timedelta(days=1)}, "B2", "before the load left"),
        ({"Received on": TODAY + timedelta(days=2)}, "B2", "in the future"),
    ],
)
def test_a_receipt_that_cannot_be_rejects(receipt, cell, part):
    only_error(check(receipt=receipt), "Receipt", cell, part)


def test_a_receipt_has_a_day_of_grace():
    assert check(receipt={"Received on": TODAY + timedelta(days=1)}).load is not None


def test_a_receipt_beside_a_broken_head_is_still_read():
    checked = check(head={**HEAD, "Date": None}, receipt={"Received on": TODAY})
    assert [("Load", "B7")] == [found[:2] for found in errors(checked)]


def test_too_many_findings_end_the_reading(monkeypatch):
    monkeypatch.setattr(finding_log, "FINDINGS_MOST", 2)
    rows = [row_of(replace(BATTERY, tag=f"B-{n}"), Record="gone") for n in range(4)]
    checked = check(rows)
    assert checked.load is None
    assert any("read no further" in message for _, _, message in errors(checked))


@pytest.mark.parametrize("changed", [{"Handling": "suspect"}, {"Stream": "lfp-intact"}, {"Record": None}])
def test_a_changed_fact_no_longer_fits_its_record(changed):
    checked = check(
        [row_of(**changed)], packages=({**PACKAGE, "Stream": changed.get("Stream", "lead-acid-wet")},)
    )
    (found,) = errors(checked)
    assert "no longer fits the record" in found[2]


def test_a_batch_that_is_not_listed_rejects():
    only_error(check([row_of(replace(BATTERY, batch="Z"))]), "Batteries", "C2", '"Z"')


def test_a_weighed_mass_does_not_touch_the_record():
    load = check([row_of(**{"Mass (kg)": 14.2})]).load
    assert load is not None
    assert 14.2 == load.batteries[0].mass_kg


def test_a_battery_twice_rejects_at_the_second():
    only_error(check([row_of(), row_of(replace(BATTERY, tag="b-1"))]), "Batteries", "D3", "D2 too")


def test_a_battery_that_left_already_rejects():
    only_error(check(gone={("a", "b-1"): "L-0"}), "Batteries", "A2", "load L-0")


@pytest.mark.parametrize(
    ("kind", "grade", "stream", "part"),
    [
        ("sale", Grade.RECYCLE, "lead-acid-wet", "a sale takes"),
        ("sale", Grade.RESALE, None, ""),
        ("recycling", Grade.RESALE, None, "not recycle"),
        ("recycling", Grade.RECONDITIONABLE, None, "not recycle"),
        ("recycling", Grade.UNRESOLVED, None, "not settled"),
        ("recycling", Grade.UNRESOLVED, "other-or-unknown", ""),
        ("return", Grade.UNRESOLVED, None, ""),
    ],
)
def test_the_kind_of_load_takes_what_is_graded_for_it(kind, grade, stream, part):
    one = replace(BATTERY, grade=grade, stream=stream, package=None)
    checked = check([row_of(one)], head={**HEAD, "Kind": kind}, packages=())
    found = errors(checked)
    assert bool(part) == bool(found)
    assert all(part in message for _, _, message in found)


@pytest.mark.parametrize("handling", [Handling.DAMAGED, Handling.SUSPECT])
@pytest.mark.parametrize("kind", ["recycling", "return"])
def test_lithium_that_is_not_intact_never_goes_in_with_intact(handling, kind):
    one = replace(LITHIUM, handling=handling)
    checked = check(
        [row_of(one)], head={**HEAD, "Kind": kind}, packages=({**PACKAGE, "Stream": "lfp-intact"},)
    )
    only_error(checked, "Batteries", "B2", "damaged or not diagnosable", "Lithium iron phosphate, intact")
    assert check(
        [row_of(one)], head={**HEAD, "Kind": kind}, packages=({**PACKAGE, "Stream": "lfp-damaged"},)
    ).load


def test_a_package_without_a_stream_is_told_in_words():
    checked = check([row_of()], packages=({**PACKAGE, "Stream": ""},))
    (told,) = [one for one in checked.findings if "its package" in one.message]
    assert told.message.endswith("its package P-1 has no stream on the Packages sheet.")
    assert told.hint.startswith('Choose "Lead-acid, wet, case whole" there if it holds nothing else.')


def test_lithium_that_is_not_intact_needs_a_package():
    one = replace(LITHIUM, package=None)
    only_error(check([row_of(one)], packages=()), "Batteries", "B2", "no package")


def test_a_battery_beside_its_packages_is_a_warning():
    checked = check([row_of(), row_of(replace(BATTERY, tag="B-2", package=None))])
    assert checked.load is not None
    assert ["B-2 stands in no package."] == [one.message for one in checked.findings]


def test_a_package_that_is_not_listed_rejects():
    only_error(
        check([row_of(), row_of(replace(BATTERY, tag="B-2", package="P-7"))]), "Batteries", "B3", '"P-7"'
    )


def test_a_package_without_a_battery_is_a_warning():
    checked = check(packages=(PACKAGE, {"Package": "P-2"}))
    assert checked.load is not None
    assert any("P-2" in one.message for one in checked.findings)


def test_a_package_of_a_return_may_hold_several_streams():
    assert check(head={**HEAD, "Kind": "return"}, packages=({**PACKAGE, "Stream": None},)).load is not None


@pytest.mark.parametrize(("gross", "fits"), [(14.999, False), (15.0, True), (15.001, True)])
def test_gross_is_not_below_net(gross, fits):
    checked = check(packages=({**PACKAGE, "Gross (kg)": gross},))
    assert fits == (checked.load is not None)


def test_a_battery_without_a_mass_counts_as_nothing_in_its_package():
    assert check([row_of(**{"Mass (kg)": None})], packages=({**PACKAGE, "Gross (kg)": 1.0},)).load is not None


@pytest.mark.parametrize("evidence", list(Evidence))
def test_a_sale_of_what_was_not_tested_is_a_warning(evidence):
    one = replace(BATTERY, grade=Grade.RESALE, stream=None, package=None, evidence=evidence)
    checked = check([row_of(one)], head={**HEAD, "Kind": "sale"}, packages=())
    assert checked.load is not None
    tested = evidence in (Evidence.STRENGTH, Evidence.CAPACITY)
    assert tested == (not any("B-1 has no test that counts" in found.message for found in checked.findings))


NOTED = replace(
    LITHIUM,
    handling=Handling.INTACT,
    stream="lfp-intact",
    grade=Grade.RESALE,
    note="case swollen on one side",
)


def noted_row(one, **changed):
    """Return a row with the note that stands beside it."""
    return row_of(one, Note=one.note, **changed)


@pytest.mark.parametrize(("note", "sold"), [("case swollen on one side", False), ("red label", True)])
def test_lithium_whose_note_speaks_of_damage_is_not_sold(note, sold):
    one = replace(NOTED, note=note, package=None, evidence=Evidence.CAPACITY)
    checked = check([noted_row(one)], head={**HEAD, "Kind": "sale"}, packages=())
    assert sold == (checked.load is not None)
    assert sold or any("Clear the tick" in found.hint for found in checked.findings)


@pytest.mark.parametrize(
    ("handling", "note", "sold"),
    [
        (Handling.INTACT, "smells burnt", False),
        (Handling.SUSPECT, None, False),
        (Handling.INTACT, "red label", True),
        (Handling.INTACT, None, True),
    ],
)
def test_lead_acid_that_is_to_be_seen_first_is_not_sold(handling, note, sold):
    one = replace(BATTERY, grade=Grade.RESALE, stream=None, package=None, handling=handling, note=note)
    checked = check([noted_row(one)], head={**HEAD, "Kind": "sale"}, packages=())
    assert sold == (checked.load is not None)
    assert sold or "B-1 is lead-acid" in errors(checked)[0][2]


@pytest.mark.parametrize(("stream", "fits"), [("lfp-damaged", True), ("lfp-intact", False), (None, False)])
def test_lithium_whose_note_speaks_of_damage_goes_in_with_damaged(stream, fits):
    packed = check(
        [noted_row(replace(NOTED, grade=Grade.RECYCLE))], packages=({**PACKAGE, "Stream": stream},)
    )
    assert fits == (packed.load is not None)


def test_lithium_whose_note_speaks_of_damage_needs_a_package():
    one = replace(NOTED, grade=Grade.RECYCLE, package=None)
    only_error(check([noted_row(one)], packages=()), "Batteries", "B2", "no package", "note speaks of damage")


IN_DOUBT = replace(NOTED, handling=Handling.SUSPECT, note=None)
"""As a load lists it: what its note said at intake stands in the record as its handling."""


def test_clearing_the_note_does_not_make_doubtful_lithium_sound():
    one = replace(IN_DOUBT, package=None, stream=None, evidence=Evidence.CAPACITY)
    found = errors(check([row_of(one)], head={**HEAD, "Kind": "sale"}, packages=()))
    assert {("Batteries", "H2"), ("Batteries", "B2")} == {(sheet, cell) for sheet, cell, _ in found}
    assert "L-9 is lithium with handling suspect: it is not for sale." in [message for _, _, message in found]


def test_doubtful_lithium_cannot_be_called_intact_in_its_row():
    one = replace(IN_DOUBT, package=None, stream=None, evidence=Evidence.CAPACITY)
    changed = check([row_of(one, Handling="intact")], head={**HEAD, "Kind": "sale"}, packages=())
    assert any("no longer fits the record" in message for _, _, message in errors(changed))


@pytest.mark.parametrize(("stream", "fits"), [("lfp-damaged", True), ("lfp-intact", False), (None, False)])
@pytest.mark.parametrize("kind", ["recycling", "return"])
def test_doubtful_lithium_goes_in_with_damaged_whatever_its_note_cell_says(kind, stream, fits):
    one = replace(IN_DOUBT, grade=Grade.RECYCLE if kind == "recycling" else Grade.RESALE)
    packed = check([row_of(one)], head={**HEAD, "Kind": kind}, packages=({**PACKAGE, "Stream": stream},))
    assert fits == (packed.load is not None)


SOLD = replace(BATTERY, grade=Grade.RESALE, stream=None, evidence=Evidence.STRENGTH)
AGM = replace(SOLD, tag="B-2", chemistry=Chemistry.AGM)
SOLD_LITHIUM = replace(SOLD, tag="B-3", chemistry=Chemistry.LFP)


@pytest.mark.parametrize(
    ("second", "kind", "mixed"),
    [
        (AGM, "sale", False),
        (SOLD_LITHIUM, "sale", True),
        (replace(AGM, handling=Handling.SUSPECT), "return", True),
        (AGM, "return", False),
    ],
)
def test_a_package_of_more_than_one_kind_is_a_warning(second, kind, mixed):
    package = {"Package": "P-1", "Gross (kg)": 40.0}
    checked = check([row_of(SOLD), row_of(second)], head={**HEAD, "Kind": kind}, packages=(package,))
    told = [one.message for one in checked.findings if "more than one kind" in one.message]
    assert checked.load is not None
    assert mixed == bool(told)
    assert not mixed or second.tag in told[0]


@pytest.mark.parametrize(
    ("seen", "columns"),
    [
        ({}, {}),
        ({}, {"Non-spillable mark": "no", "Case plastic": "unknown"}),
        ({"non_spillable_mark": True}, {"Non-spillable mark": "yes"}),
        ({"case_plastic": "PP"}, {"Case plastic": "PP", "Non-spillable mark": None}),
    ],
)
def test_what_was_seen_on_the_case_is_read_back(seen, columns):
    one = replace(BATTERY, **seen)
    load = check([row_of(one, **columns)]).load
    assert load is not None
    assert (replace(one, row=2),) == load.batteries


@pytest.mark.parametrize(
    ("seen", "columns"),
    [
        ({}, {"Non-spillable mark": "yes"}),
        ({}, {"Case plastic": "PP"}),
        ({"non_spillable_mark": True}, {"Non-spillable mark": "no"}),
        ({"case_plastic": "other"}, {"Case plastic": "PP"}),
    ],
)
def test_what_was_seen_on_the_case_is_part_of_the_record(seen, columns):
    checked = check([row_of(replace(BATTERY, **seen), **columns)])
    only_error(checked, "Batteries", "M2", "non-spillable mark or case plastic no longer fits the record")
