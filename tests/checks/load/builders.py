"""Small load workbooks from plain Python values, and what the check says about them."""

from datetime import date

from intake.checks.load.check_load import CheckedLoad, check_load_workbook
from intake.model.battery import Chemistry
from intake.model.load import LoadedBattery, Yard
from intake.model.raw_workbook import RawWorkbook
from intake.model.verdict import Grade, Handling
from tests.checks.builders import grid

TODAY = date(2026, 11, 27)
RESULTS = "ab" * 32
STREAMS = {"lead-acid-wet": "wet", "lfp-intact": "intact", "lfp-damaged": "damaged", "other-or-unknown": "?"}
HEAD = {
    "Load": "L-1",
    "Kind": "recycling",
    "Jurisdiction": "EU",
    "Site": "Yard 2",
    "Consignee": "Receiver 3",
    "Date": date(2026, 11, 26),
    "Prepared by": "Officer 1",
}
PACKAGE = {"Package": "P-1", "Stream": "lead-acid-wet", "Gross (kg)": 40.0}
BATTERY = LoadedBattery(
    batch="A",
    tag="B-1",
    revision=1,
    chemistry=Chemistry.FLOODED,
    grade=Grade.RECYCLE,
    handling=Handling.INTACT,
    stream="lead-acid-wet",
    mass_kg=15.0,
    mass_estimated=False,
    package="P-1",
)


def row_of(one=BATTERY, **changed):
    """Return a row of the Batteries sheet, ticked, with its record as the tool writes it."""
    row = {
        "In this load": "x",
        "Package": one.package,
        "Batch": one.batch,
        "Tag": one.tag,
        "Stream": one.stream,
        "Chemistry": one.chemistry.value,
        "Grade": one.grade.value,
        "Handling": one.handling.value,
        "Evidence": one.evidence.value,
        "Mass (kg)": one.mass_kg,
        "Estimated": "no",
        "Revision": one.revision,
        "Record": one.record(RESULTS),
    }
    return {**row, **changed}


def sheet(name, rows):
    """Return a list sheet whose headers are all keys of the rows."""
    headers = list(dict.fromkeys(key for row in rows for key in row))
    return grid(name, [headers, *[[row.get(header) for header in headers] for row in rows]])


def fields(name, values):
    """Return a sheet of fields."""
    return grid(name, [["Field", "Value"], *[[key, value] for key, value in values.items()]])


def check(
    rows=None, *, head=HEAD, packages=(PACKAGE,), receipt=None, batches=None, gone=None, leave_out=()
) -> CheckedLoad:
    """Check a load workbook made of these sheets."""
    batches = [{"Batch": "A", "Revision": 1, "Results SHA-256": RESULTS}] if batches is None else batches
    sheets = {
        "Load": fields("Load", head),
        "Packages": sheet("Packages", packages) if packages else grid("Packages", []),
        "Batteries": sheet("Batteries", [row_of()] if rows is None else rows),
        "Receipt": fields("Receipt", receipt) if receipt else grid("Receipt", []),
        "Batches": sheet("Batches", batches),
    }
    raw = RawWorkbook(
        "load.xlsx", "cd" * 32, tuple(one for key, one in sheets.items() if key not in leave_out)
    )
    yard = Yard(("EU", "US"), STREAMS, "other-or-unknown", gone or {})
    return check_load_workbook(raw, today=TODAY, date_order=None, yard=lambda name: yard)


def errors(checked):
    """Return place and message of each error."""
    return [(one.sheet, one.cell, one.message) for one in checked.findings if one.severity.value == "error"]
