"""The yard's account in ``register.json``: what came in, what left, what is on hand."""

from intake.model.account import Account, OnHand, SentLoad
from intake.report.json.encode import Document, plain, record_document

_GRAMS_PER_KG = 1000


def account_document(account: Account) -> Document:
    """Return the account as plain values; masses in kg, to the gram."""
    document = record_document(account, without=("loads", "on_hand"))
    document["loads"] = [_load(one) for one in account.loads]
    document["on_hand"] = [_held(one) for one in account.on_hand]
    return {key: _in_kilograms(value) for key, value in document.items()}


def _in_kilograms(value: object) -> object:
    """Return the same with each mass in grams as one in kg, however deep it stands."""
    if isinstance(value, list):
        return [_in_kilograms(one) for one in value]
    if not isinstance(value, dict):
        return value
    return {
        key.removesuffix("_g") + "_kg" if key.endswith("_g") else key: _kilograms(one)
        if key.endswith("_g")
        else _in_kilograms(one)
        for key, one in value.items()
    }


def _kilograms(mass_g: int | None) -> float | None:
    return None if mass_g is None else mass_g / _GRAMS_PER_KG


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
