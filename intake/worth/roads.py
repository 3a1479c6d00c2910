"""The net value of each road for one battery, reckoned from today on.

- recycled: R = mass x scrap price per kg - disposal cost;
- passed: S = resale price - cost, that of charging or of reconditioning;
- failed: F = R - cost, it goes to the recycler after all;
- break-even chance: p = cost / (resale price - R), from p S + (1 - p) F = R;
- expected: r S + (1 - r) F, with the site's own success rate r.
"""

from decimal import Decimal

from intake.model.value import Road, RoadValue
from intake.policy.cited import CitedValue
from intake.worth.money import between, exact, rounded, rounded_up
from intake.worth.prices import COST, DISPOSAL, RESALE, SCRAP, Terms

Ends = tuple[Decimal, Decimal]
_HIGHEST_PRINTED = Decimal("0.999")
_WORK = {Road.RESELL: "charge", Road.RECONDITION: "reconditioning"}


def scrap_ends(terms: Terms) -> Ends | None:
    """Return what recycling earns, for the lightest and the heaviest mass it may have; None if not known."""
    scrap, disposal = terms.amount(SCRAP), terms.amount(DISPOSAL)
    if scrap is None or disposal is None or terms.mass_kg is None:
        return None
    light, heavy = (mass * scrap - disposal for mass in terms.mass_kg)
    return light, heavy


def recycle_road(terms: Terms) -> RoadValue:
    """Return the value of recycling."""
    ends = scrap_ends(terms)
    if ends is None:
        return RoadValue(Road.RECYCLE, None, missing=terms.missing(SCRAP, DISPOSAL))
    amount = between(*ends)
    working = (
        f"{terms.mass_text} × {terms.text(SCRAP)} scrap price − {terms.text(DISPOSAL)} disposal "
        f"= {amount.text}"
    )
    return RoadValue(Road.RECYCLE, amount, working=working)


def bench_road(road: Road, terms: Terms, *, passes: Decimal | None, rate: CitedValue | None) -> RoadValue:
    """Return the value of charging and selling, or of reconditioning.

    Parameters
    ----------
    road
        Resell or recondition.
    terms
        Prices and mass.
    passes
        The probability, 0 to 1, that a hold test already taken gives; None where the test is still open,
        and nothing is known of its outcome.
    rate
        The site's own success rate, 0 to 1, for a test that is still open; None where it gives none.
    """
    resale, cost, scrap = terms.amount(RESALE), terms.amount(COST[road]), scrap_ends(terms)
    success = None if resale is None or cost is None else resale - cost
    if resale is None or cost is None or success is None or scrap is None:
        return RoadValue(
            road,
            None,
            success=None if success is None else rounded(success),
            missing=terms.missing(RESALE, COST[road], SCRAP, DISPOSAL),
        )
    failure = [end - cost for end in scrap]
    open_test = passes is None
    least = passes or Decimal(0)
    amount = between(success, *(least * success + (1 - least) * end for end in failure))
    expected, expected_working = None, ""
    if open_test and rate is not None:
        share = exact(rate.value)
        expected = between(*(share * success + (1 - share) * end for end in failure))
        expected_working = f"; to be expected at a success rate of {share:f} ({rate.source}): {expected.text}"
    passed = "passed" if passes is None else f"truly above its limit ({_probability(passes)})"
    work = f"{_WORK[road]} {terms.text(COST[road])}"
    return RoadValue(
        road,
        amount,
        success=rounded(success),
        failure=between(*failure),
        break_even=_break_even(resale, cost, max(scrap)) if open_test else None,
        expected=expected,
        working=(
            f"{passed}: resale price {terms.text(RESALE)} − {work} = {rounded(success):f}; "
            f"if not: as scrap {between(*scrap).text} − {work} = {between(*failure).text}"
            f"{expected_working}"
        ),
    )


def _probability(passes: Decimal) -> str:
    return f"P > {_HIGHEST_PRINTED}" if passes > _HIGHEST_PRINTED else f"P = {passes:.3f}"


def _break_even(resale: Decimal, cost: Decimal, scrap: Decimal) -> Decimal | None:
    """Return the least chance from which the road earns no less than recycling; None if there is none."""
    if cost <= 0:
        return rounded_up(Decimal(0))
    if cost > resale - scrap:
        return None
    return rounded_up(cost / (resale - scrap))


def gains(road: Road, terms: Terms, *, chance: Decimal) -> Ends | None:
    """Return how much more the road earns than recycling at a chance of success, by both ends of the mass."""
    resale, cost, scrap = terms.amount(RESALE), terms.amount(COST[road]), scrap_ends(terms)
    if resale is None or cost is None or scrap is None:
        return None
    light, heavy = (chance * (resale - end) - cost for end in scrap)
    return light, heavy
