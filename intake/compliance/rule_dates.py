"""Whether the rule data speak of the day of shipping at all."""

from datetime import date

from intake.model.compliance import RuleData, Statement

OUTDATED = "Rule data do not cover this day"


def data_warnings(data: RuleData, day: date, *, shipped: bool) -> tuple[Statement, ...]:
    """Return the warning that a day lies outside what the data speak of; none where it lies inside.

    Parameters
    ----------
    shipped
        the day is the ship date, else Received.
    """
    if data.covers(day):
        return ()
    what = "shipping" if shipped else "receipt, as no ship date is given,"
    if day > data.review_by:
        why = f"to be reviewed by {data.review_by}; not reviewed for {what} on {day}"
    else:
        why = f"they speak of no day before {data.speaks_from}, and so not of {what} on {day}"
    return (
        Statement(
            heading=OUTDATED,
            text=f"The rules were gathered by {data.checked_on}, {why}. Check each entry against the rules "
            "in force on the day.",
            source="Rule data: checked on, review by, speaks from",
            checked="as recorded in the data",
        ),
    )
