"""One battery in the words that a parts yard and its buyers read."""

from datetime import date
from decimal import Decimal

from intake.model.battery import LEAD_ACID, Battery, Chemistry, DatePrecision, MadeDate
from intake.model.condition import Condition
from intake.model.result import GradedBattery
from intake.model.shown import shown_h
from intake.model.verdict import HELD, Evidence
from intake.report.drawing.kept_together import SEPARATOR
from intake.report.drawing.plain_text import one_line
from intake.report.words.battery import (
    chemistry_in_words,
    interval_in_words,
    mass_in_words,
    tests_in_words,
)
from intake.report.words.charge_and_remarks import charge_that_counts
from intake.report.words.wording import ResaleWords, load_wording

_DAYS_PER_YEAR = 365.25
NOT_KNOWN = "–"


def age_years(made: MadeDate | None, received: date) -> str:
    """Return the age at Received in years; a span where the date of manufacture leaves one."""
    if made is None:
        return NOT_KNOWN
    youngest, oldest = (_years(day, received) for day in (made.latest, made.earliest))
    if made.precision is DatePrecision.YEAR:
        return f"{youngest:.1f} to {oldest:.1f}"
    return f"{oldest:.1f}"


def _years(made: date, received: date) -> float:
    return max((received - made).days, 0) / _DAYS_PER_YEAR


def age_in_words(made: MadeDate | None, received: date) -> str:
    """Return when it was made, how exactly that is known, and its age at Received."""
    if made is None:
        return "date of manufacture not given, age not known"
    return (
        f"made {made.text} (known to the {made.precision.value}), "
        f"{age_years(made, received)} years old when received on {received}"
    )


def cranking_in_words(battery: Battery) -> str:
    """Return the rated cold-cranking current with its standard."""
    if battery.rated_cca_a is None:
        return "CCA not given"
    standard = one_line(battery.cca_standard or "") or "standard not given"
    return f"CCA {battery.rated_cca_a:g} A rated ({standard})"


def rating_in_words(one: GradedBattery) -> str:
    """Return chemistry, rated capacity and cranking current, mass, mark."""
    battery = one.battery
    capacity = battery.rated_capacity_ah
    parts = [
        chemistry_in_words(battery.chemistry),
        "Ah not given" if capacity is None else f"{capacity:g} Ah rated",
        cranking_in_words(battery),
        mass_in_words(one),
    ]
    if battery.chemistry in LEAD_ACID:
        parts.append(f"non-spillable mark {'' if battery.non_spillable_mark else 'not '}recorded")
    return SEPARATOR.join(parts)


def condition_in_words(one: GradedBattery) -> str:
    """Return what was seen on case and posts, whether a recall was looked up, and how to handle it."""
    battery = one.battery
    recall = {
        None: "recall not checked",
        True: "under recall: do not sell or charge it",
        False: "recall checked, none found",
    }[battery.under_recall]
    parts = [
        f"case {battery.case or 'not read'}",
        f"terminals {battery.terminals or 'not inspected'}",
        recall,
    ]
    if one.condition not in (Condition.INTACT, Condition.CASE_NOT_READ):
        parts.append(f"handle as {one.condition.value}")
    return SEPARATOR.join(parts)


def badge_in_words(one: GradedBattery) -> str:
    """Return the evidence as the few words in the box of a condition sheet."""
    return words_of(one).badge


def words_of(one: GradedBattery) -> ResaleWords:
    """Return what its evidence is called, what it shows and what it cannot show."""
    wording = load_wording()
    return wording.resale_capacity_first if capacity_first(one) else wording.resale[one.verdict.evidence]


def capacity_first(one: GradedBattery) -> bool:
    """Say whether a capacity was measured and used, and no hold reading counts yet."""
    battery = one.battery
    used = battery.delivered_capacity_ah is not None and battery.rated_capacity_ah is not None
    return used and one.verdict.evidence is Evidence.REST_ONLY


def evidence_in_few_words(one: GradedBattery) -> str:
    """Return the evidence with the hours it rests on."""
    held = one.verdict.held_charge
    if held is not None and one.verdict.evidence in HELD:
        return f"hold, {shown_h(held.after_h)} h"
    tests = tests_in_words(one.battery)
    first = f"{tests}; rest" if tests else "rest only"
    return first if one.battery.rested_h is None else f"{first}, {shown_h(one.battery.rested_h)} h"


def charge_in_words(one: GradedBattery) -> tuple[str, str]:
    """Return the state of charge in %, nothing where only an interval is known, and its interval in %."""
    charge = charge_that_counts(one.verdict)
    if charge is None:
        return "", "not known"
    value = "" if charge.interval_only else f"{charge.value_percent:.0f}"
    return value, interval_in_words(charge).removesuffix(" %")


def cautions_for(battery: Battery) -> str:
    """Return what a buyer of this battery is warned of."""
    words = load_wording().buyer_cautions
    if battery.chemistry in LEAD_ACID:
        return f"{words.general} {words.lead_acid}"
    if battery.chemistry is Chemistry.LFP:
        return f"{words.general} {words.lithium}"
    return f"{words.general} {words.lead_acid} {words.lithium}"


def money(amount: Decimal) -> str:
    """Return an amount with two decimals, or more where it has them."""
    exponent = amount.as_tuple().exponent
    decimals = max(2, -exponent) if isinstance(exponent, int) else 2
    return f"{amount:.{decimals}f}"
