"""Whether a document keeps to its schema, ``schemas/results.schema.json`` or another of the project's own.

A compiled validator answers, some fifty times as fast; where it objects, the reference validator says in
words what is wrong and where.
"""

import json
from functools import cache
from typing import TYPE_CHECKING, Any

from intake.policy.resources import resource_text

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator

_LONGEST = 160
"""Characters of a problem that are printed: it quotes what may be a whole battery."""
_OTHERWISE = "the file: its values are not of the kind that the schema asks for"


def results_problem(document: object, schema: str = "results") -> str | None:
    """Return the first thing that breaks the schema, with its place in the document; None: nothing does."""
    if _keeps_to(document, schema):
        return None
    error = next(_reference(schema).iter_errors(document), None)
    if error is None:
        return _OTHERWISE
    place = "/".join(map(str, error.absolute_path)) or "the file"
    said = error.message
    return f"{place}: {said if len(said) <= _LONGEST else said[:_LONGEST] + '…'}"


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
    return json.loads(resource_text("schemas", f"{name}.schema.json"))
