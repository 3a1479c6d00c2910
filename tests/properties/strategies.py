"""What a bench may write down, as strategies. Each part says which tests it is for."""

import os
from datetime import date, datetime
from typing import Any

from hypothesis import strategies as st

from intake.model.battery import LEAD_ACID, Battery, Chemistry, HoldReading, Recovery, Use
from intake.model.raw_workbook import CellKind, RawCell, RawRow, RawSheet, RawWorkbook
from intake.policy.dictionary import Sheet, load_dictionary

TIMES = int(os.environ.get("INTAKE_PROPERTY_TIMES", "1"))
"""How many times as many cases a property tries; above 1 they are new ones at every run."""

# Typed batteries, for the grading


def finite(low: float, high: float) -> st.SearchStrategy[float]:
    """Return numbers of a column: whole hundredths mostly, then any float of the range."""
    cents = st.integers(round(low * 100), round(high * 100)).map(lambda cent: cent / 100)
    return cents | st.floats(low, high, allow_nan=False)


def perhaps(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """Return a value, or None where the cell was left blank."""
    return st.none() | values


def volts(chemistry: Chemistry, *, low: float = 0.0) -> st.SearchStrategy[float]:
    """Return open-circuit voltages in V: near the decisions mostly, anywhere from ``low`` else."""
    highest = 14.6 if chemistry is Chemistry.LFP else 15.0
    near = (12.8, 13.6) if chemistry is Chemistry.LFP else (11.8, 13.2)
    return finite(*near) | finite(low, highest)


def hold_readings(
    chemistry: Chemistry, *, least: int = 0, most: int = 4, from_h: float = 0.0
) -> st.SearchStrategy[tuple[HoldReading, ...]]:
    """Return a hold: hours that rise, voltages that need not fall."""
    hours = finite(from_h, 1.0) | finite(0.5, 30.0) | finite(from_h, 10_000.0)
    several = st.lists(hours, unique=True, min_size=least, max_size=most).map(sorted)

    def read(taken: list[float]) -> st.SearchStrategy[tuple[HoldReading, ...]]:
        temperature = perhaps(finite(-60.0, 90.0))
        return st.tuples(
            *(st.builds(HoldReading, st.just(hour), volts(chemistry), temperature) for hour in taken)
        )

    return several.flatmap(read)


def meters() -> st.SearchStrategy[tuple[float, float]]:
    """Return accuracies in % of reading and V, in the ranges of the columns."""
    usual = st.sampled_from([(0.5, 0.02), (0.1, 0.01), (0.05, 0.001), (0.0, 0.0)])
    return usual | st.tuples(finite(0.0, 5.0), finite(0.0, 1.0))


@st.composite
def batteries(draw: st.DrawFn, *, chemistries: tuple[Chemistry, ...] = tuple(Chemistry)) -> Battery:
    """Return any typed battery whose numbers lie in the ranges of the input contract."""
    chemistry = draw(st.sampled_from(chemistries))
    positive = st.floats(0, exclude_min=True, allow_infinity=False, allow_nan=False) | finite(0.01, 300.0)
    not_negative = finite(0.0, 1000.0) | st.floats(0, allow_infinity=False, allow_nan=False)
    rated = finite(0.01, 300.0)
    resistance = finite(0.1, 50.0) | positive
    return Battery(
        tag="B-001",
        row=2,
        chemistry=chemistry,
        case=draw(
            st.sampled_from(
                ["sound", "scuffed", "sound", "dented", "cracked", "leaking", "swollen", "burnt", None]
            )
        ),
        terminals=draw(st.sampled_from([None, "sound", "corroded", "sound", "loose", "broken"])),
        under_recall=draw(st.sampled_from([None, False, False, True])),
        use=draw(st.sampled_from([Use.USED, Use.USED, Use.UNUSED, Use.UNUSED_DRY])),
        recovery=draw(st.sampled_from([Recovery.NOT_TRIED, Recovery.NOT_TRIED, *Recovery])),
        bms_reset_tried=draw(st.sampled_from([None, False, True])),
        rated_capacity_ah=draw(perhaps(rated)),
        rated_cca_a=draw(perhaps(finite(0.01, 2000.0))),
        rest_voltage_v=draw(perhaps(volts(chemistry, low=-20.0) | finite(-20.0, 20.0))),
        rested_h=draw(perhaps(finite(0.0, 30.0) | finite(0.0, 10_000.0))),
        temperature_c=draw(perhaps(finite(-60.0, 90.0) | finite(15.0, 35.0))),
        hold_readings=draw(hold_readings(chemistry)),
        load_current_a=draw(perhaps(positive)),
        load_time_s=draw(perhaps(finite(12.0, 18.0) | positive)),
        load_voltage_v=draw(perhaps(finite(7.0, 11.0) | finite(-20.0, 20.0))),
        measured_cca_a=draw(perhaps(not_negative)),
        delivered_capacity_ah=draw(perhaps(not_negative)),
        discharge_time_h=draw(perhaps(positive)),
        internal_resistance_mohm=draw(perhaps(resistance)),
        rated_resistance_mohm=draw(perhaps(resistance)),
        specific_gravity=draw(st.just(()) | st.tuples(*[finite(1.0, 1.4)] * 6)),
        cell_voltages_v=draw(st.just(()) | st.tuples(*[finite(0.0, 5.0)] * 4)),
        row_errors=draw(st.sampled_from([(), (), (), ("Rested: unreadable.",)])),
    )


@st.composite
def sound_batteries(
    draw: st.DrawFn, *, rested: bool = False, least_holds: int = 0, holds_from_h: float = 0.0
) -> Battery:
    """Return batteries that one rest or hold voltage decides mostly: sound, in range, identified."""
    chemistry = draw(st.sampled_from((*sorted(LEAD_ACID), Chemistry.LFP)))
    rest = volts(chemistry)
    holds = hold_readings(chemistry, least=least_holds, most=3, from_h=holds_from_h)
    return Battery(
        tag="B-001",
        row=2,
        chemistry=chemistry,
        case="sound",
        terminals=draw(st.sampled_from([None, "sound", "loose"])),
        bms_reset_tried=draw(st.booleans()),
        rest_voltage_v=draw(rest if rested else perhaps(rest)),
        rested_h=draw(perhaps(finite(0.5, 30.0))),
        temperature_c=draw(perhaps(finite(-20.0, 55.0))),
        hold_readings=draw(st.just(()) | holds if rested else holds),
    )


# Raw cells, for the checks

NUMBER_FORMATS = (
    "General",
    "@",
    "0",
    "000",
    "0.00%",
    "yyyy-mm-dd",
    "mmm-yy",
    "yyyy",
    "d-mmm",
    "h:mm",
    '0" V"',
    "",
)


def typed_texts() -> st.SearchStrategy[str]:
    """Return texts that look like figures, dates, tags and choices, right and wrong, and any other text."""
    figures = st.text("0123456789.,- +/eE\u00a0\u2212٣٫１", max_size=12)
    units = st.sampled_from(["", " V", "mV", " MV", " °F", " min", " %", "²", " lb", " EUR", "€"])
    dates = st.from_regex(
        r"[0-9]{1,4}[-./ ][0-9]{1,2}([-./ ][0-9]{1,4})?|[0-9]{1,2} (Mar|June|x) [0-9]{4}", fullmatch=True
    )
    columns = [column for sheet in load_dictionary().sheets.values() for column in sheet.columns]
    choices = sorted({word for column in columns for word in column.choices})
    headers = sorted({word for column in columns for word in (column.header, *column.aliases)})
    words = st.sampled_from([*choices, *headers, "n/a", "-", "B-1", "b-1", "T-1"])
    return st.builds("{}{}".format, figures, units) | dates | words | st.text(max_size=20)


def cell_values() -> st.SearchStrategy[Any]:
    """Return everything that a cell may hold."""
    days = st.dates(date(1899, 12, 30), date(9999, 12, 31)) | st.dates(date(2015, 1, 1), date(2027, 1, 1))
    numbers = st.integers() | st.integers(0, 3000) | st.floats() | finite(-20.0, 20.0)
    moments = days | st.datetimes(datetime(1899, 12, 30)) | st.times() | st.timedeltas()
    return st.none() | st.booleans() | numbers | moments | typed_texts()


@st.composite
def raw_cells(draw: st.DrawFn, *, row: int = 2, column: int = 1) -> RawCell:
    """Return any cell at a place: a value, an error or an unsaved formula, in any number format."""
    kind = draw(st.sampled_from([*[CellKind.VALUE] * 6, CellKind.ERROR, CellKind.UNSAVED_FORMULA]))
    return RawCell(row, column, draw(cell_values()), kind, draw(st.sampled_from(NUMBER_FORMATS)))


@st.composite
def raw_sheets(draw: st.DrawFn, wanted: Sheet) -> RawSheet:
    """Return a sheet with headers of the dictionary mostly, and any cells below them."""
    headers = [column.header for column in wanted.columns]
    line = draw(st.lists(st.sampled_from(headers), min_size=1, max_size=8, unique=draw(st.booleans())))
    top = RawRow(1, {at: RawCell(1, at, header) for at, header in enumerate(line, start=1)})
    rows = [top] if draw(st.integers(0, 9)) else []
    for number in range(2, 2 + draw(st.integers(0, 4))):
        places = draw(st.sets(st.integers(1, 9), min_size=1))
        rows.append(RawRow(number, {at: draw(raw_cells(row=number, column=at)) for at in sorted(places)}))
    hidden = draw(st.frozensets(st.integers(1, 5)))
    return RawSheet(wanted.name, tuple(rows), hidden, draw(st.booleans()))


@st.composite
def raw_workbooks(draw: st.DrawFn) -> RawWorkbook:
    """Return a workbook with most of its sheets, in any order, each with any cells."""
    wanted = draw(st.permutations(list(load_dictionary().sheets.values())))
    present = [sheet for sheet in wanted if draw(st.integers(0, 5))]
    return RawWorkbook("any.xlsx", "0" * 64, tuple(draw(raw_sheets(sheet)) for sheet in present))
