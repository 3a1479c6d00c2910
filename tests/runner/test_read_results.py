"""A results file is reduced to a small record, or refused with one plain sentence."""

import copy
import json
import os
import random

import pytest

from intake.model.battery import Chemistry
from intake.model.verdict import Evidence, Grade
from intake.report.json.results import results_document
from intake.runner import read_results as module
from intake.runner.read_results import ResultsRefused, read_results
from tests.report.builders import battery, held, mixed_result, result_of

GOOD = json.loads(json.dumps(results_document(mixed_result())))


def written(tmp_path, content):
    path = tmp_path / "x-results.json"
    if not isinstance(content, bytes):
        content = json.dumps(content).encode()
    path.write_bytes(content)
    return path


def refusal(tmp_path, content):
    with pytest.raises(ResultsRefused) as caught:
        read_results(written(tmp_path, content), "a/x-results.json")
    return str(caught.value)


def altered(change):
    document = copy.deepcopy(GOOD)
    change(document)
    return document


def test_every_battery_is_in_one_group(tmp_path):
    record = read_results(written(tmp_path, GOOD), "a/x-results.json")

    assert ("a/x-results.json", "2026-W47-P03", "EU") == (record.file, record.batch, record.jurisdiction)
    assert len(GOOD["batteries"]) == sum(group.count for group in record.groups)
    for group in record.groups:
        alike = [
            one
            for one in GOOD["batteries"]
            if (one["chemistry"], one["grade"], one["evidence"], one["stream"])
            == (group.chemistry, group.grade, group.evidence, group.stream)
        ]
        masses = [round(one["mass_kg"] * 1000) for one in alike if one["mass_kg"] is not None]
        estimated = [round(one["mass_kg"] * 1000) for one in alike if one["mass_estimated"]]
        assert (len(alike), sum(masses), sum(estimated)) == (
            group.count,
            group.mass_g,
            group.mass_estimated_g,
        )
        assert len(alike) - len(masses) == group.without_mass


def test_what_stands_apart_is_known_by_its_tag(tmp_path):
    ones = [
        battery(1, rest_voltage_v=12.7),
        battery(2, rest_voltage_v=12.7, note="burning smell"),
        battery(3, rest_voltage_v=12.7, case="dented"),
        battery(4, tag="T-4", rest_voltage_v=12.7),
        battery(5, tag="t-4", rest_voltage_v=12.7, case="leaking"),
    ]
    record = read_results(written(tmp_path, results_document(result_of(ones))), "x")

    assert ["B-002", "B-003", "T-4", "t-4"] == sorted(tag for one in record.groups for tag in one.apart)


def test_groups_stand_in_the_order_of_the_workbooks_choices(tmp_path):
    record = read_results(written(tmp_path, GOOD), "x")

    orders = [list(Chemistry), list(Grade), list(Evidence)]
    places = [
        [
            order.index(part)
            for order, part in zip(orders, (one.chemistry, one.grade, one.evidence), strict=True)
        ]
        for one in record.groups
    ]
    assert sorted(places) == places


def test_what_the_batch_sheet_left_blank_is_none_and_a_row_without_a_tag_has_none(tmp_path):
    blank = dict.fromkeys(("received_from", "ship_date", "meter", "calibration_due"))
    untagged = battery(1, tag="row 5")
    document = results_document(result_of([untagged, battery(2)], batch=blank))
    del document["figures"]

    record = read_results(written(tmp_path, document), "x")

    assert (None, None, None, None, None) == (
        record.received_from,
        record.ship_date,
        record.meter,
        record.calibration_due,
        record.wrong_acceptances,
    )
    assert ("B-002",) == record.tags


def test_expected_wrong_acceptances_are_those_of_the_meter_in_use(tmp_path):
    near = held(1, "flooded", (24.0, 12.52), mass_kg=15.0)
    document = results_document(result_of([near, battery(2, rest_voltage_v=12.43)]))
    document["figures"]["expected_wrong_voltage_decisions"]["in_use"]["wrong_acceptances"] = 0.1234
    document["figures"]["expected_wrong_voltage_decisions"]["better"]["wrong_acceptances"] = 0.0001

    assert 0.1234 == read_results(written(tmp_path, document), "x").wrong_acceptances


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "It is empty."),
        (json.dumps(GOOD).encode()[:5000], "It is no readable JSON: "),
        (b"\x00\xff" * 40, "It is no readable JSON: "),
        (b"[" * 100_000, "It is no readable JSON: it is nested too deeply."),
        (b'{"schema": NaN}', "NaN is not a number that can be used"),
        (b'{"schema": "intake-results/1", "schema": "x"}', "'schema' appears twice"),
        (b"[]", "It was not written by intake"),
        (b'{"name": "x"}', "It was not written by intake"),
        (b'{"schema": "intake-register/1"}', "It does not keep to the results schema: "),
    ],
)
def test_a_damaged_or_foreign_file_is_refused_with_its_reason(tmp_path, content, says):
    told = refusal(tmp_path, content)

    assert says in told
    assert told.endswith(".")
    assert "\n" not in told


def recycled(document):
    return next(one for one in document["batteries"] if one["grade"] == "recycle")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (
            lambda one: one["batch"].update(received="2026-02-30"),
            "batch/received is 2026-02-30, which is no day",
        ),
        (lambda one: one["batch"].update(ship_date="2026-13-01"), "batch/ship_date"),
        (lambda one: one["batch"].update(calibration_due="0000-01-01"), "batch/calibration_due"),
        (lambda one: one["batch"].update(batch="../../etc"), "batch/batch"),
        (
            lambda one: recycled(one).update(stream="rocket-fuel"),
            "the waste stream 'rocket-fuel' is not known",
        ),
        (lambda one: one["batteries"][0].update(mass_kg=1e308), "1e+308 kg is no mass of a battery"),
        (lambda one: one["batteries"][0].update(mass_kg=1000.1), "1000.1 kg is no mass"),
        (
            lambda one: one["figures"]["expected_wrong_voltage_decisions"]["in_use"].update(
                wrong_acceptances=48.5
            ),
            "48.5 wrong acceptances among 48",
        ),
        (
            lambda one: one["batteries"].pop(0),
            "It contradicts itself: totals/by_grade/resale-after-charge counts",
        ),
        (lambda one: one["batteries"][0].update(mass_kg=15.9), "totals/by_grade/resale-after-charge gives"),
        (lambda one: one["totals"]["by_stream"].pop("lead-acid-wet"), "totals/by_stream lacks lead-acid-wet"),
        (
            lambda one: one["totals"]["by_stream"].update(extra={"count": 1, "mass_kg": 0}),
            "totals/by_stream/extra counts 1",
        ),
        (
            lambda one: one["totals"]["by_grade"]["recycle"].update(mass_kg=1e300),
            "totals/by_grade/recycle gives",
        ),
    ],
)
def test_a_file_that_contradicts_itself_or_the_calendar_is_refused(tmp_path, change, says):
    assert says in refusal(tmp_path, altered(change))


@pytest.mark.parametrize(("signs", "refused"), [(500, False), (501, True)])
def test_a_text_may_be_as_long_as_a_page_can_bear(tmp_path, signs, refused):
    document = altered(lambda one: one["batch"].update(received_from="x" * signs))
    if refused:
        assert "batch/received_from is longer than 500 signs." == refusal(tmp_path, document)
    else:
        assert read_results(written(tmp_path, document), "x").batch


def test_a_total_may_differ_by_the_rounding_of_each_mass(tmp_path):
    count = GOOD["totals"]["by_grade"]["recycle"]["count"]
    mass = GOOD["totals"]["by_grade"]["recycle"]["mass_kg"]

    def by(grams):
        return altered(
            lambda one: one["totals"]["by_grade"]["recycle"].update(mass_kg=round(mass + grams / 1000, 3))
        )

    assert read_results(written(tmp_path, by(count)), "x").batch
    assert "contradicts itself" in refusal(tmp_path, by(count + 1))


@pytest.mark.parametrize(("over", "refused"), [(0, False), (1, True)])
def test_the_size_is_looked_at_before_the_content(tmp_path, monkeypatch, over, refused):
    path = written(tmp_path, GOOD)
    monkeypatch.setattr(module, "RESULTS_BYTES_MOST", path.stat().st_size - over)
    if not refused:
        assert read_results(path, "x").batch
        return
    with pytest.raises(ResultsRefused, match="It is too large: "):
        read_results(path, "x")


def test_what_is_no_file_is_never_opened(tmp_path):
    os.mkfifo(tmp_path / "pipe-results.json")
    (tmp_path / "folder-results.json").mkdir()

    for name in ("pipe-results.json", "folder-results.json"):
        with pytest.raises(ResultsRefused, match=r"^It is no file\.$"):
            read_results(tmp_path / name, name)
    with pytest.raises(ResultsRefused, match=r"^It cannot be read: no such file or directory\.$"):
        read_results(tmp_path / "gone-results.json", "gone")


def test_what_becomes_no_file_once_its_size_was_seen_is_refused_too(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "_refuse_size", lambda path, most: None)
    with pytest.raises(ResultsRefused, match=r"^It cannot be read: it is a folder, a pipe"):
        read_results(tmp_path, "x")


INSERTED = [b"9" * 30, b"null", b'"', b"[", b"1e400", b"\xed\xa0\x80"]


def ending(path):
    """Return why a file is refused, ``read`` where it is read; anything else comes through."""
    try:
        read_results(path, "x")
    except ResultsRefused as refusal:
        return str(refusal)
    return "read"


def test_whatever_happens_to_a_file_it_is_read_or_refused_in_one_sentence(tmp_path):
    small = results_document(result_of([battery(1, rest_voltage_v=12.7), battery(2, case="cracked")]))
    whole, chance = json.dumps(small).encode(), random.Random(7)
    endings = []
    for _ in range(300):
        content, place = bytearray(whole), chance.randrange(len(whole))
        match chance.randrange(4):
            case 0:
                content[place] ^= 1 << chance.randrange(8)
            case 1:
                del content[place:]
            case 2:
                del content[place : place + chance.randrange(1, 40)]
            case _:
                content[place:place] = chance.choice(INSERTED)
        endings.append(ending(written(tmp_path, bytes(content))))

    assert all(one == "read" or (one.endswith(".") and "\n" not in one) for one in endings)
    assert 10 < endings.count("read") < 150


@pytest.mark.parametrize("value", [None, True, 0, -1, 1e300, "", "x", [], {}, [[]]])
def test_any_value_in_any_place_is_read_or_refused(tmp_path, value):
    small = results_document(result_of([battery(1, rest_voltage_v=12.7, case="cracked")]))
    for key in ("schema", "version", "source", "policy", "batch", "batteries", "totals", "figures"):
        for document in ({**small, key: value}, {**small, key: inside(small[key], value)}):
            told = ending(written(tmp_path, document))
            assert told == "read" or told.endswith("."), (key, told)


def inside(part, value):
    """Return the part with the value in place of everything in it."""
    if isinstance(part, dict):
        return dict.fromkeys(part, value)
    return [dict.fromkeys(part[0], value)] if isinstance(part, list) else value
