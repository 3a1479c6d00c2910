"""Every jurisdiction that has a file: the shipped ones, and those of a site's own folder.

A file in ``templates/jurisdictions/`` is found by itself. The shipped files are validated by the tests,
not at every run; those of a site are validated whenever they are read.
"""

import json
from collections.abc import Mapping
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from intake.policy.jurisdictions import Jurisdiction, jurisdiction_of
from intake.policy.resources import resource, resource_text
from intake.policy.sources import Source, load_sources, sources_of
from intake.policy.strict_json import read_json_file
from intake.policy.waste_streams import stream_titles

_SUFFIX = ".json"
_SHARED = ("every-jurisdiction.json", "sources.json")
"""What is printed in every jurisdiction, and the sources. The digest of the rule data covers both."""


class RulesRefused(Exception):
    """The rule data of a site cannot be used. ``problems`` are plain sentences, one each."""

    def __init__(self, name: str, problems: list[str]) -> None:
        super().__init__(f"{name}: these rule data cannot be used")
        self.problems = problems


@cache
def load_rules(folder: Path | None = None) -> Mapping[str, Jurisdiction]:
    """Return every jurisdiction by its key, in the order of the choices.

    Parameters
    ----------
    folder
        a site's own files, which are added; one with the key of a shipped file takes its place.

    Raises
    ------
    RulesRefused
        the folder or a file in it cannot be used; every problem is named with its place.
    """
    found = [_read(content, json.loads(content)) for content in _shipped()]
    found += [_read(content, document) for content, document in _own(folder)] if folder else []
    by_key = {one.key: one for one in found}
    return {one.key: one for one in sorted(by_key.values(), key=lambda one: (one.order, one.key))}


def load_jurisdiction(key: str, folder: Path | None = None) -> Jurisdiction:
    """Return the data of one jurisdiction.

    Raises
    ------
    ValueError
        there are no data under that name.
    RulesRefused
        the site's own data cannot be used.
    """
    rules = load_rules(folder)
    if key not in rules:
        raise ValueError(f"no rules are held for {key!r}; known are {', '.join(rules)}")
    return rules[key]


def _shipped() -> list[bytes]:
    files = resource("templates", "jurisdictions").iterdir()
    return [one.read_bytes() for one in sorted(files, key=lambda one: one.name) if one.name.endswith(_SUFFIX)]


def _own(folder: Path) -> list[tuple[bytes, dict[str, Any]]]:
    """Return the documents of a site's folder with their bytes, each validated."""
    try:
        files = sorted(one for one in folder.iterdir() if one.suffix == _SUFFIX)
    except OSError as error:
        raise RulesRefused(str(folder), [f"the folder cannot be read: {error.strerror or error}"]) from error
    if not files:
        raise RulesRefused(str(folder), [f"the folder holds no {_SUFFIX} file"])
    return [_own_document(one) for one in files]


def _own_document(file: Path) -> tuple[bytes, dict[str, Any]]:
    try:
        content, document = read_json_file(file)
    except ValueError as problem:
        raise RulesRefused(file.name, [str(problem)]) from problem
    problems = jurisdiction_problems(document)
    if problems:
        raise RulesRefused(file.name, problems)
    return content, dict(document)


def _read(content: bytes, document: Mapping[str, Any]) -> Jurisdiction:
    """Return one jurisdiction with what holds in all of them."""
    shared = [resource("templates", name).read_bytes() for name in _SHARED]
    digest = sha256(b"".join((content, *shared))).hexdigest()
    whole = _with_shared(document, json.loads(shared[0]))
    return jurisdiction_of(whole, _sources(document), stream_titles(), sha256=digest)


def _with_shared(document: Mapping[str, Any], shared: Mapping[str, Any]) -> dict[str, Any]:
    """Return a document whose streams and warnings have those of every jurisdiction beside their own."""
    own = {one["key"] for one in document["streams"]}
    streams = [
        {**one, "statements": [*one["statements"], *shared["statements"].get(one["key"], ())]}
        for one in (*document["streams"], *(one for one in shared["streams"] if one["key"] not in own))
    ]
    warnings = {**shared["load_warnings"], **document["load_warnings"]}
    return {**document, "streams": streams, "load_warnings": warnings}


def _sources(document: Mapping[str, Any]) -> dict[str, Source]:
    return {**load_sources(), **sources_of(document.get("sources", {}))}


def jurisdiction_problems(document: object) -> list[str]:
    """Name everything in a jurisdiction document that breaks the schema or does not fit together.

    Returns
    -------
    list of str
        Plain sentences, each with its place in the document; empty if it can be used.
    """
    problems = _schema_problems(document, "jurisdiction.schema.json")
    if problems or not isinstance(document, dict):
        return problems
    if "sources" in document:
        own = {"schema": "intake-sources/1", "sources": document["sources"]}
        problems = _schema_problems(own, "sources.schema.json")
    known = {*load_sources(), *document.get("sources", ())}
    statements = {key: part for key, part in document.items() if key not in ("sources", "forms")}
    return [
        *problems,
        *_reference_problems(statements, "$", known),
        *_form_problems(document),
        *_region_problems(statements, "$", set(document.get("regions", {}).get("names", ()))),
    ]


def _schema_problems(document: object, schema: str) -> list[str]:
    from jsonschema import Draft202012Validator

    validator = Draft202012Validator(json.loads(resource_text("schemas", schema)))
    return [f"{error.json_path}: {error.message}" for error in validator.iter_errors(document)]


def _reference_problems(entry: Any, place: str, known: set[str]) -> list[str]:
    """Name the sources that are not listed, and the periods that end before they begin."""
    if isinstance(entry, list):
        parts = ((f"{place}[{number}]", part) for number, part in enumerate(entry))
        return [one for inner, part in parts for one in _reference_problems(part, inner, known)]
    if not isinstance(entry, dict):
        return []
    unknown = [name for name in entry.get("sources", ()) if name not in known]
    problems = [f"{place}: the source {name!r} is not listed" for name in unknown]
    if entry.get("valid_from", "") > entry.get("valid_to", "9999-12-31"):
        problems.append(f"{place}: valid_from is after valid_to")
    inside = ((f"{place}.{key}", part) for key, part in entry.items() if key != "sources")
    return problems + [one for inner, part in inside for one in _reference_problems(part, inner, known)]


def _form_problems(document: Mapping[str, Any]) -> list[str]:
    """Name the places that are given to no entry of a form and to no line to fill in."""
    entries = json.loads(resource_text("templates", "form-entries.json"))
    known = {entry["key"] for group in entries["groups"] for entry in group["entries"]}
    known |= {line["key"] for line in entries["stream_lines"] if "key" in line}
    return [
        f"$.forms[{number}].places: {key!r} is no entry of form-entries.json"
        for number, form in enumerate(document.get("forms", ()))
        for key in form["places"]
        if key not in known
    ]


def _region_problems(entry: Any, place: str, known: set[str]) -> list[str]:
    """Name the regions of statements that the document does not list."""
    if isinstance(entry, list):
        parts = ((f"{place}[{number}]", part) for number, part in enumerate(entry))
        return [one for inner, part in parts for one in _region_problems(part, inner, known)]
    if not isinstance(entry, dict):
        return []
    named = entry["regions"] if isinstance(entry.get("regions"), list) else []
    problems = [f"{place}: the region {name!r} is not listed" for name in named if name not in known]
    inside = ((f"{place}.{key}", part) for key, part in entry.items() if key not in ("sources", "regions"))
    return problems + [one for inner, part in inside for one in _region_problems(part, inner, known)]
