"""The yard's account in ``register.json``: what came in, what left, what is on hand."""

from intake.model.account import Account, OnHand, SentLoad
from intake.report.json.encode import Document, in_kilograms, plain, record_document


def account_document(account: Account) -> Document:
    """Return the account as plain values; masses in kg, to the gram."""
    document = record_document(account, without=("loads", "on_hand"))
    document["loads"] = [_load(one) for one in account.loads]
    document["on_hand"] = [_held(one) for one in account.on_hand]
    found: Document = in_kilograms(document)
    return found


def _load(one: SentLoad) -> Document:
    document = record_document(one, without=("departures",))
    document["date"] = document.pop("day")
    return {
        **document,
        "count": len(one.departures),
        "mass_g": sum(item.mass_g or 0 for item in one.departures),
    }


def _held(one: OnHand) -> Document:
    return {**plain(one.item), "days": one.days}
