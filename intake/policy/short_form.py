"""The short form: what a grade needs, on one page of thirty rows."""

from intake.policy.dictionary import Column, Dictionary, Sheet
from intake.policy.guide_text import GuideText

SHORT_ROWS = 30


def short_dictionary(dictionary: Dictionary, guide: GuideText) -> Dictionary:
    """Return the sheets and columns of the short form, in their usual order."""
    sheets = dictionary.sheets
    return dictionary._replace(
        sheets={
            "batch": _only(sheets["batch"], guide.short_fields),
            "batteries": _only(sheets["batteries"], guide.short),
        },
    )


def _only(sheet: Sheet, more: tuple[str, ...]) -> Sheet:
    def belongs(column: Column) -> bool:
        return column.needed or column.for_grade or column.key in more

    return sheet._replace(columns=tuple(one for one in sheet.columns if belongs(one)))
