"""Every jurisdiction that has a file: the shipped ones, and those of a site's own folder.

A file in ``templates/jurisdictions/`` is found by itself. The shipped files are validated by the tests,
not at every run; those of a site are validated whenever they are read.
"""

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from intake.policy.jurisdictions import Jurisdiction, jurisdiction_of
from intake.policy.resources import resource, resource_text
from intake.policy.sources import Source, load_sources, sources_of
from intake.policy.strict_json import read_json_file
from intake.policy.waste_streams import stream_titles

_SUFFIX = ".json"


class RulesRefused(Exception):
    """The rule data of a site can not be used. ``problems`` are plain sentences, one each."""

    def __init__(self, name: str, problems: list[str]) -> None:
        super().__init__(f"{name}: these rule data can not be used")
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
        the folder or a file in it can not be used; every problem is named with its place.
    """
    found = [_read(json.loads(text)) for text in _shipped()]
    found += [_read(document) for document in _own(folder)] if folder else []
    by_key = {one.key: one for one in found}
    return {one.key: one for one in sorted(by_key.values(), key=lambda one: (one.order, one.key))}


def load_jurisdiction(key: str, folder: Path | None = None) -> Jurisdiction:
    """Return the data of one jurisdiction.

    Raises
    ------
    ValueError
        there are no data under that name.
    RulesRefused
        the site's own data can not be used.
    """
    rules = load_rules(folder)
    if key not in rules:
        raise ValueError(f"no rules are held for {key!r}; known are {', '.join(rules)}")
    return rules[key]


def _shipped() -> list[str]:
    files = resource("templates", "jurisdictions").iterdir()
    names = sorted(one.name for one in files if one.name.endswith(_SUFFIX))
    return [resource_text("templates/jurisdictions", name) for name in names]


def _own(folder: Path) -> list[dict[str, Any]]:
    """Return the documents of a site's folder, each validated."""
    try:
        files = sorted(one for one in folder.iterdir() if one.suffix == _SUFFIX)
    except OSError as error:
        raise RulesRefused(str(folder), [f"the folder can not be read: {error.strerror or error}"]) from error
    if not files:
        raise RulesRefused(str(folder), [f"the folder holds no {_SUFFIX} file"])
    return [_own_document(one) for one in files]


def _own_document(file: Path) -> dict[str, Any]:
    try:
        _, document = read_json_file(file)
    except ValueError as problem:
        raise RulesRefused(file.name, [str(problem)]) from problem
    problems = jurisdiction_problems(document)
    if problems:
        raise RulesRefused(file.name, problems)
    return dict(document)


def _read(document: Mapping[str, Any]) -> Jurisdiction:
    return jurisdiction_of(document, _sources(document), stream_titles())


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
    statements = {key: part for key, part in document.items() if key not in ("sources", "form")}
    return [*problems, *_reference_problems(statements, "$", known), *_form_problems(document)]


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
    """Name the places that are given to no entry of a form."""
    groups = json.loads(resource_text("templates", "form-entries.json"))["groups"]
    known = {entry["key"] for group in groups for entry in group["entries"]}
    places = document.get("form", {}).get("places", {})
    return [f"$.form.places: {key!r} is no entry of form-entries.json" for key in places if key not in known]
