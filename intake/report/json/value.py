"""What batteries are worth, in ``results.json``: amounts and chances as exact decimal text."""

from intake.model.result import BatchResult, GradedBattery
from intake.model.value import RoadValue
from intake.report.json.encode import Document, attributes, plain, record_document, renamed
from intake.report.words.value_totals import RoadTotal, totals_by_road


def battery_value_document(result: BatchResult, one: GradedBattery) -> Document | None:
    """Return the roads of one battery; None where its batch has no prices."""
    if result.value is None:
        return None
    value = result.value.by_row[one.battery.row]
    return {"roads": [_road(one) for one in value.roads], **attributes(value, ("worth_it", "advice"))}


def value_document(result: BatchResult) -> Document | None:
    """Return currency, rounding and sums of the batch; None where it has no prices."""
    value = result.value
    if value is None:
        return None
    return {
        **attributes(value, ("currency", "rounding")),
        "totals": [_total(one) for one in totals_by_road(result)],
        "not_worth_it": [
            one.battery.tag for one in result.graded if value.by_row[one.battery.row].worth_it is False
        ],
    }


def _road(one: RoadValue) -> Document:
    return renamed(
        record_document(one), amount="net", success="passed", failure="failed", break_even="break_even_chance"
    )


def _total(one: RoadTotal) -> Document:
    return {
        "grade": plain(one.grade),
        "road": plain(one.road),
        **renamed(record_document(one.total), amount="net"),
    }
