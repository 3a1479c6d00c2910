"""Whether a document keeps to its schema, ``schemas/results.schema.json`` or another of the project's own.

A compiled validator answers, some fifty times as fast; where it objects, the reference validator says in
words what is wrong and where.
"""

import json
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from intake.policy.resources import resource_text

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator

_LONGEST = 160
"""Characters of a problem that are printed: it quotes what may be a whole battery."""
_OTHERWISE = "the file: its values are not of the kind that the schema asks for"


LONG_LISTS = ("findings", "batteries")
"""Keys of a results document whose entries are judged one by one, as they are read."""
_ENTRY, _WITHOUT_ENTRIES = "results/{}", "results/"


def results_problem(document: object, schema: str = "results") -> str | None:
    """Return the first thing that breaks the schema, with its place in the document; None: nothing does."""
    return _problem(document, schema, ())


def entry_problem(entry: object, key: str, number: int) -> str | None:
    """Return the first thing that breaks the results schema in one entry of a long list."""
    return _problem(entry, _ENTRY.format(key), (key, str(number)))


def problem_beside_entries(document: Mapping[str, object]) -> str | None:
    """Return the first thing that breaks the results schema beside the entries of the long lists.

    Together with `entry_problem` of each entry it judges as `results_problem` does. What the entries were
    reduced to does not matter.
    """
    counted = {
        key: [None] * min(1, len(one)) if isinstance(one, list) else one for key, one in _long(document)
    }
    return _problem({**document, **counted}, _WITHOUT_ENTRIES, ())


def _long(document: Mapping[str, object]) -> list[tuple[str, object]]:
    return [(key, document[key]) for key in LONG_LISTS if key in document]


def _problem(document: object, schema: str, place: tuple[str, ...]) -> str | None:
    if _keeps_to(document, schema):
        return None
    error = next(_reference(schema).iter_errors(document), None)
    if error is None:
        return _OTHERWISE
    where = "/".join((*place, *map(str, error.absolute_path))) or "the file"
    said = error.message
    return f"{where}: {said if len(said) <= _LONGEST else said[:_LONGEST] + '…'}"


def _keeps_to(document: object, schema: str) -> bool:
    try:
        return bool(_compiled(schema).is_valid(document))
    except (
        ValueError,
        TypeError,
        RecursionError,
    ):  # a value that it cannot take over, such as half a character
        return next(_reference(schema).iter_errors(document), None) is None


@cache
def _compiled(name: str) -> Any:
    from jsonschema_rs import Draft202012Validator

    return Draft202012Validator(_schema(name))


@cache
def _reference(name: str) -> "Draft202012Validator":
    from jsonschema import Draft202012Validator

    return Draft202012Validator(_schema(name))


def _schema(name: str) -> Any:
    name, part, key = name.partition("/")
    schema = json.loads(resource_text("schemas", f"{name}.schema.json"))
    if not part:
        return schema
    if key:
        return {"$defs": schema["$defs"], **schema["properties"][key]["items"]}
    for one in LONG_LISTS:
        del schema["properties"][one]["items"]
    return schema
