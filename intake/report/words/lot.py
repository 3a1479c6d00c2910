"""What the evidence of the resale lot is worth, in sentences."""

from intake.model.lot import Lot, Sampled

_PERCENT = 100


def lot_in_words(lot: Lot, *, on_offer: int) -> tuple[str, ...]:
    """Return what is known, what a draw would show, and what is to be expected of the resale grade.

    Parameters
    ----------
    lot
        All batteries graded for resale.
    on_offer
        How many of them may be offered now; the others wait for a hold, another reading or a second look.
    """
    if not lot.offered:
        return ("Nothing is graded for resale.",)
    return (
        *(_sampled(one, lot.most_unfit_share) for one in lot.sampled),
        f"{_expected(lot)} {_waiting(lot.offered, on_offer)}",
    )


def _waiting(graded: int, on_offer: int) -> str:
    """Say how many may be offered now, apart from those that may not be sold yet."""
    waiting = graded - on_offer
    if graded == 1:
        return "It may be offered now." if on_offer else "It may not be sold yet."
    if not on_offer:
        return "None may be sold yet."
    if not waiting:
        return "All may be offered now."
    return f"{on_offer} may be offered now; {waiting} may not be sold yet."


def _sampled(one: Sampled, most_share: float) -> str:
    share = f"{_PERCENT * most_share:g} %"
    name = one.kind.value[0].upper() + one.kind.value[1:]
    if one.unfit_at_most is None:
        draw = ", ".join(one.draw)
        if one.offered == 1:
            return f"{name}: nothing is known of the capacity of this one. A capacity test shows it: {draw}."
        if one.sample == one.offered:
            return (
                f"{name}: nothing is known of the capacity of these {one.offered}, too few to draw from. "
                f"Capacity tests of all of them without a failure would show that none is unfit: {draw}."
            )
        tests = "One capacity test" if one.sample == 1 else f"Capacity tests of {one.sample}, drawn by lot,"
        return (
            f"{name}: nothing is known of the capacity of these {one.offered}. {tests} without a failure "
            f"would show that at most {share} are unfit: {draw}."
        )
    left = one.offered - one.drawn
    failed = f"{one.failed} failed" if one.failed else "none failed"
    if one.drawn == one.offered == 1:
        return f"{name}: the one was tested for capacity; it {'failed' if one.failed else 'passed'}."
    if not left:
        return f"{name}: all {one.offered} were tested for capacity; {failed}."
    known = (
        f"{name}: the first {one.drawn} of {one.offered} in the draw order were tested for capacity; {failed}"
    )
    if one.drawn == 1:
        known = (
            f"{name}: 1 of {one.offered} is first in the draw order and was tested for capacity; it "
            f"{'failed' if one.failed else 'passed'}"
        )
    known = f"{known}; {_untested(left, one.unfit_at_most - one.failed)}"
    if one.unfit_at_most <= most_share * one.offered:
        return known
    if one.failed:
        return f"{known} Test them all, or sell them as untested."
    more = ", ".join(one.draw[one.drawn :])
    return f"{known} To be sure of {share}, test these too: {more}."


def _untested(left: int, unfit: int) -> str:
    """Say what the tests show of the others; a test made before any draw may have been a choice."""
    which = "the one" if left == 1 else f"the {left}"
    if unfit >= left:
        return f"nothing is known of {which} not tested."
    are = "is" if unfit == 1 else "are"
    return f"of {which} not tested at most {unfit} {are} unfit (95 % sure, if the draw chose which to test)."


def _expected(lot: Lot) -> str:
    basis = "this site's own share of unfit ones" if lot.own_share else "simulated batteries"
    unfit = f"unfit, that is worn or faulty (an estimate from {basis})."
    if lot.offered == 1:
        return f"The one graded for resale may be {unfit}"
    return (
        f"Of the {lot.offered} graded for resale about {lot.unfit_low} to {lot.unfit_high} are likely {unfit}"
    )
