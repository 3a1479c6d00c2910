"""The look of the blank workbook: greys and one muted blue-grey, told apart in grey print as well."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from intake.policy.dictionary import Column, Form
from intake.workbook.blank.column_notes import TEXT_FORMAT, number_format

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook

FONT = "Arial"
"""Every spreadsheet program has it or a face of the same widths."""
FONT_SIZE = 10
_BAND = "#4F6272"
_HEADER_NEEDED, _HEADER, _HEADER_MORE = "#BCC8D2", "#E0E6EA", "#F6F7F8"
"""Darker, the more a grade needs the column; told apart in grey print."""
_LINE = "#9AA5AE"
_QUIET = "#555555"
_THIN, _THICK, _HAIR = 1, 5, 7
"""Border styles of the file format."""


@dataclass(frozen=True, slots=True)
class Look:
    """The formats that the sheets share."""

    title: "Format"
    legend: "Format"
    band: "Format"
    band_rest: "Format"
    marker: "Format"
    header: "Format"
    header_needed: "Format"
    header_more: "Format"
    example: "Format"
    label: "Format"
    label_needed: "Format"
    text: "Format"
    section: "Format"
    used_row: "Format"


def make_look(workbook: "Workbook") -> Look:
    """Create the shared formats in a workbook."""

    def look(**properties: Any) -> "Format":
        return workbook.add_format(
            {"font_name": FONT, "font_size": FONT_SIZE, "valign": "top", "text_wrap": True, **properties}
        )

    header: dict[str, Any] = {
        "bg_color": _HEADER,
        "border": _THIN,
        "border_color": _LINE,
        "valign": "vcenter",
    }
    needed: dict[str, Any] = {"bold": True, "bottom": _THICK, "bottom_color": "#000000"}
    band: dict[str, Any] = {
        "bold": True,
        "bg_color": _BAND,
        "font_color": "#FFFFFF",
        "text_wrap": False,
        "valign": "vcenter",
    }
    label: dict[str, Any] = {"bottom": _HAIR, "bottom_color": _LINE}
    return Look(
        title=look(bold=True, font_size=14, text_wrap=False, valign="vcenter"),
        legend=look(italic=True, text_wrap=False, valign="vcenter"),
        band=look(**band, left=_THICK, left_color="#FFFFFF"),
        band_rest=look(**band),
        marker=look(bold=True, font_size=8, align="center", valign="bottom"),
        header=look(**header, align="center"),
        header_needed=look(**{**header, **needed, "bg_color": _HEADER_NEEDED}, align="center"),
        header_more=look(**{**header, "bg_color": _HEADER_MORE}, align="center"),
        example=look(
            italic=True, font_color=_QUIET, align="center", valign="vcenter", num_format=TEXT_FORMAT
        ),
        label=look(**label),
        label_needed=look(**label, bold=True),
        text=look(**label, font_color=_QUIET),
        section=look(
            bold=True,
            text_wrap=False,
            font_size=11,
            bg_color=_HEADER,
            bottom=_THIN,
            bottom_color=_LINE,
            valign="vcenter",
        ),
        used_row=workbook.add_format({"border": _THIN, "border_color": _LINE}),
    )


def cell_format(workbook: "Workbook", column: Column, *, bordered: bool, leading: bool = False) -> "Format":
    """Create the format of a column's cells.

    Figures stand right, choices and dates in the middle, text left; with ``leading`` all stand left, on top.
    """
    align = dict.fromkeys((Form.NUMBER, Form.MONEY), "right")
    align |= dict.fromkeys((Form.DATE, Form.PARTIAL_DATE, Form.TIME, Form.DATE_TIME, Form.CHOICE), "center")
    horizontal = "left" if leading else align.get(column.form, "left")
    properties: dict[str, Any] = {
        "font_name": FONT,
        "font_size": FONT_SIZE,
        "num_format": number_format(column),
        "align": horizontal,
        "indent": int(horizontal == "left"),
        "valign": "top" if leading else "vcenter",
        "text_wrap": column.form is Form.TEXT,
    }
    if bordered:
        properties |= {"border": _THIN, "border_color": _LINE}
    return workbook.add_format(properties)
