import copy
import hashlib
import json

import pytest

from intake.model.battery import Chemistry
from intake.policy.grading_policy import load_grading_policy, shipped_policy_text
from intake.policy.policy_file import PolicyRefused, read_grading_policy

SHIPPED = json.loads(shipped_policy_text())


def problems_of(path):
    with pytest.raises(PolicyRefused) as refused:
        read_grading_policy(path)
    assert f"{path.name}: this grading policy cannot be used" == str(refused.value)
    return refused.value.problems


def entry_at(document, place):
    for key in place.split("/"):
        document = document[key]
    return document


def written(tmp_path, document):
    path = tmp_path / "site.json"
    content = document if isinstance(document, bytes) else json.dumps(document).encode()
    path.write_bytes(content)
    return path


def changed(tmp_path, place, **fields):
    document = copy.deepcopy(SHIPPED)
    entry_at(document, place).update(fields)
    return written(tmp_path, document)


def without(tmp_path, place, key):
    document = copy.deepcopy(SHIPPED)
    del (entry_at(document, place) if place else document)[key]
    return written(tmp_path, document)


def test_a_copy_of_the_shipped_file_is_the_shipped_policy_but_for_its_digest(tmp_path):
    path = tmp_path / "site.json"
    path.write_text(shipped_policy_text(), encoding="utf-8")
    assert load_grading_policy() == read_grading_policy(path)


def test_a_changed_number_gives_another_policy_with_the_digest_of_its_file(tmp_path):
    path = changed(tmp_path, "rest/sound_v/AGM", value=12.5, status="site choice")
    found = read_grading_policy(path)
    assert (12.5, "site choice") == (
        found.rest.sound_v[Chemistry.AGM].value,
        found.rest.sound_v[Chemistry.AGM].status,
    )
    assert hashlib.sha256(path.read_bytes()).hexdigest() == found.sha256
    assert load_grading_policy().sha256 != found.sha256


def test_a_whole_number_is_a_number(tmp_path):
    assert 13.0 == read_grading_policy(changed(tmp_path, "hold/long_from_h", value=13)).hold.long_from_h.value


def test_a_missing_file_is_said_to_be_missing(tmp_path):
    assert ["the file cannot be read: No such file or directory"] == problems_of(tmp_path / "none.json")


def test_a_folder_is_no_file(tmp_path):
    assert ["the file cannot be read: it is a folder, a pipe or a device, not a file"] == problems_of(
        tmp_path
    )


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"{", "Expecting property name enclosed in double quotes"),
        (b"", "Expecting value"),
        (b"\xff\xfe\x00", "not in UTF-8"),
        (b"[" * 100_000, "nested too deeply"),
        (b'{"a": NaN}', "NaN is not a number that can be used"),
        (b'{"a": Infinity}', "Infinity is not a number that can be used"),
        (b'{"a": -Infinity}', "-Infinity is not a number that can be used"),
        (b'{"a": 1e999}', "1e999 is not a number that can be used"),
        (b'{"a": 1' + b"0" * 400 + b"}", "10000000000000000000 is not a number that can be used"),
    ],
    ids=["torn", "empty", "bytes", "deep", "nan", "inf", "minus inf", "overflow", "long"],
)
def test_what_is_no_json_is_said_to_be_none(tmp_path, content, why):
    (problem,) = problems_of(written(tmp_path, content))
    assert problem.startswith("this is not a JSON file: ")
    assert why in problem


@pytest.mark.parametrize("content", [b"[]", b"12", b'"policy"', b"null"])
def test_what_is_no_object_is_refused_as_a_whole(tmp_path, content):
    (problem,) = problems_of(written(tmp_path, content))
    assert problem.startswith("the file: ")
    assert problem.endswith("is not of type 'object'")


@pytest.mark.parametrize(
    ("place", "key", "problem"),
    [
        ("", "hold", "the file: 'hold' is a required property"),
        ("", "name", "the file: 'name' is a required property"),
        ("hold", "long_from_h", "hold: 'long_from_h' is a required property"),
        ("hold/long_from_h", "value", "hold/long_from_h: 'value' is a required property"),
        ("hold/long_from_h", "unit", "hold/long_from_h: 'unit' is a required property"),
        ("hold/long_from_h", "source", "hold/long_from_h: 'source' is a required property"),
        ("hold/long_from_h", "status", "hold/long_from_h: 'status' is a required property"),
        ("open_circuit/lead_acid", "AGM", "open_circuit/lead_acid: 'AGM' is a required property"),
        ("rest/sound_v", "LFP", "rest/sound_v: 'LFP' is a required property"),
    ],
)
def test_what_is_missing_is_named(tmp_path, place, key, problem):
    assert [problem] == problems_of(without(tmp_path, place, key))


@pytest.mark.parametrize(
    ("place", "fields", "problem"),
    [
        ("hold/long_from_h", {"value": "12"}, "hold/long_from_h/value: '12' is not of type 'number'"),
        ("hold/long_from_h", {"value": True}, "hold/long_from_h/value: True is not of type 'number'"),
        ("hold/long_from_h", {"value": None}, "hold/long_from_h/value: None is not of type 'number'"),
        ("hold/long_from_h", {"value": -1}, "hold/long_from_h/value: -1 is less than the minimum of 0"),
        ("hold/long_from_h", {"unit": "min"}, "hold/long_from_h/unit: 'h' was expected"),
        ("hold/long_from_h", {"source": "   "}, r"hold/long_from_h/source: '   ' does not match '\\S'"),
        ("hold/long_from_h", {"source": "me"}, "hold/long_from_h/source: 'me' is too short"),
        (
            "hold/long_from_h",
            {"status": "guess"},
            (
                "hold/long_from_h/status: 'guess' is not one of "
                "['opened', 'common practice', 'from memory', 'site choice', 'from simulation']"
            ),
        ),
        (
            "hold",
            {"long_from": 12},
            "hold: Additional properties are not allowed ('long_from' was unexpected)",
        ),
        (
            "decision/risk_limit",
            {"value": 0},
            "decision/risk_limit/value: 0 is less than or equal to the minimum of 0",
        ),
        (
            "decision/risk_limit",
            {"value": 0.5},
            "decision/risk_limit/value: 0.5 is greater than or equal to the maximum of 0.5",
        ),
        (
            "decision/comparison_decimals",
            {"value": 9.5},
            "decision/comparison_decimals/value: 9.5 is not of type 'integer'",
        ),
        (
            "meter/rectangular_divisor",
            {"value": 0},
            "meter/rectangular_divisor/value: 0 is less than or equal to the minimum of 0",
        ),
        (
            "meter/better_accuracy_volts",
            {"value": -0.001},
            "meter/better_accuracy_volts/value: -0.001 is less than the minimum of 0",
        ),
        (
            "temperature/reference_c",
            {"value": 31},
            "temperature/reference_c/value: 31 is greater than the maximum of 30",
        ),
        (
            "hold/slope_v_per_efold/AGM",
            {"value": -0.01},
            "hold/slope_v_per_efold/AGM/value: -0.01 is less than the minimum of 0",
        ),
        (
            "hold/own_slope_ratio",
            {"value": 1},
            "hold/own_slope_ratio/value: 1 is less than or equal to the minimum of 1",
        ),
        (
            "self_discharge/last_from_h",
            {"value": 0},
            "self_discharge/last_from_h/value: 0 is less than or equal to the minimum of 0",
        ),
        (
            "capacity/long_coefficient_per_k/gel",
            {"value": 0.02},
            "capacity/long_coefficient_per_k/gel/value: 0.02 is greater than the maximum of 0.011",
        ),
        (
            "rest/relaxation_uncertainty_v",
            {"points": [[0, 0.1], [2, 0.08]]},
            "rest/relaxation_uncertainty_v/points/0/0: 0 is less than or equal to the minimum of 0",
        ),
        (
            "rest/relaxation_uncertainty_v",
            {"points": [[1, 0.1], [2, -0.08]]},
            "rest/relaxation_uncertainty_v/points/1/1: -0.08 is less than the minimum of 0",
        ),
        (
            "open_circuit/lead_acid/AGM",
            {"points": [[0, 11.8]]},
            "open_circuit/lead_acid/AGM/points: [[0, 11.8]] is too short",
        ),
        (
            "open_circuit/lead_acid/AGM",
            {"points": [[0, 11.8], [100]]},
            "open_circuit/lead_acid/AGM/points/1: [100] is too short",
        ),
    ],
)
def test_what_breaks_the_schema_is_named_with_its_place(tmp_path, place, fields, problem):
    assert [problem] == problems_of(changed(tmp_path, place, **fields))


RISE_FIRST = "the first figures must rise from point to point"
RISE_SECOND = "the second figures must rise from point to point"
FALL_SECOND = "the second figures must fall from point to point"


@pytest.mark.parametrize(
    ("place", "points", "why"),
    [
        ("open_circuit/lead_acid/AGM", [[0, 11.8], [0, 12.9]], [RISE_FIRST]),
        ("open_circuit/lead_acid/AGM", [[100, 11.8], [0, 12.9]], [RISE_FIRST]),
        ("open_circuit/lead_acid/AGM", [[0, 11.8], [100, 11.8]], [RISE_SECOND]),
        ("open_circuit/lead_acid/AGM", [[0, 12.9], [100, 11.8]], [RISE_SECOND]),
        ("open_circuit/lead_acid/AGM", [[100, 12.9], [0, 11.8]], [RISE_FIRST, RISE_SECOND]),
        ("open_circuit/lfp_charge_branch", [[1, 11], [50, 13.3], [50, 13.4], [100, 14]], [RISE_FIRST]),
        ("load_test/least_voltage_v", [[-18, 8.5], [21, 8.4]], [RISE_SECOND]),
        ("rest/relaxation_uncertainty_v", [[0.5, 0.1], [24, 0.1]], [FALL_SECOND]),
        ("rest/relaxation_uncertainty_v", [[0.5, 0.1], [24, 0.2]], [FALL_SECOND]),
        ("rest/relaxation_uncertainty_v", [[24, 0.1], [0.5, 0.01]], [RISE_FIRST]),
    ],
)
def test_a_table_out_of_order_is_named(tmp_path, place, points, why):
    expected = [f"{place}/points: {one}" for one in why]
    assert expected == problems_of(changed(tmp_path, place, points=points))


@pytest.mark.parametrize(
    ("lower", "upper"),
    [
        ("temperature/lowest_c", "temperature/highest_c"),
        ("rest/reversed_at_most_v", "rest/no_voltage_below_v"),
        ("rest/lfp_bms_open_below_v", "rest/lfp_deep_below_v"),
        ("rest/cell_suspect_from_v", "rest/cell_suspect_to_v"),
        ("hold/cell_down_from_v", "hold/cell_down_to_v"),
        ("hold/shortest_h", "hold/long_from_h"),
        ("hold/long_from_h", "hold/settled_from_h"),
        ("hold/drop_high_v", "hold/drop_fails_v"),
        ("capacity/spent_below", "capacity/low_below"),
        ("cranking/spent_below", "cranking/low_below"),
        ("load_test/shortest_s", "load_test/longest_s"),
        ("load_test/lowest_c", "load_test/highest_c"),
        ("resistance/high_from", "resistance/spent_from"),
        ("specific_gravity/spread_high_above", "specific_gravity/spread_fails_above"),
        ("lfp_cells/spread_high_above_v", "lfp_cells/spread_fails_above_v"),
        ("lfp_cells/dead_below_v", "lfp_cells/overdischarged_below_v"),
    ],
)
def test_two_limits_the_wrong_way_round_are_named_and_equal_ones_pass(tmp_path, lower, upper):
    limit = float(entry_at(SHIPPED, lower)["value"])
    (problem,) = problems_of(changed(tmp_path, upper, value=limit - 0.001))
    assert f"{lower} ({limit}) must not be above {upper} ({limit - 0.001})" == problem
    read_grading_policy(changed(tmp_path, upper, value=limit))


@pytest.mark.parametrize(("middle", "high"), [(80, 80), (81, 80), (0.5, 80), (100, 100)])
def test_marks_of_the_hold_test_that_no_voltage_tells_apart_are_named(tmp_path, middle, high):
    document = copy.deepcopy(SHIPPED)
    document["hold"]["middle_state_of_charge_percent"]["value"] = middle
    document["hold"]["high_state_of_charge_percent"]["value"] = high
    expected = (
        f"hold/middle_state_of_charge_percent ({float(middle)}) must be below "
        f"hold/high_state_of_charge_percent ({float(high)}), both within open_circuit/lfp_discharge_branch"
    )
    assert [expected] == problems_of(written(tmp_path, document))


def test_marks_at_the_ends_of_the_branch_pass(tmp_path):
    document = copy.deepcopy(SHIPPED)
    document["hold"]["middle_state_of_charge_percent"]["value"] = 1
    document["hold"]["high_state_of_charge_percent"]["value"] = 100
    assert 1.0 == read_grading_policy(written(tmp_path, document)).hold.middle_state_of_charge_percent.value


def test_all_problems_come_at_once_in_the_order_of_their_places(tmp_path):
    document = copy.deepcopy(SHIPPED)
    document["rest"]["shortest_rested_h"]["value"] = -1
    document["hold"]["shortest_h"]["unit"] = "s"
    del document["mass"]["kg_per_ah"]["gel"]
    assert [
        "hold/shortest_h/unit: 'h' was expected",
        "mass/kg_per_ah: 'gel' is a required property",
        "rest/shortest_rested_h/value: -1 is less than the minimum of 0",
    ] == problems_of(written(tmp_path, document))


def test_what_a_schema_can_not_say_also_comes_at_once(tmp_path):
    document = copy.deepcopy(SHIPPED)
    document["open_circuit"]["lead_acid"]["gel"]["points"].reverse()
    document["temperature"]["lowest_c"]["value"] = 60
    document["hold"]["high_state_of_charge_percent"]["value"] = 50
    assert 4 == len(problems_of(written(tmp_path, document)))


def test_a_charge_branch_under_the_discharge_branch_is_named(tmp_path):
    document = copy.deepcopy(SHIPPED)
    document["open_circuit"]["lfp_charge_branch"]["points"][0][1] = 10.0
    (problem,) = problems_of(written(tmp_path, document))
    assert "lfp_charge_branch/points: at 1 % it must not be under lfp_discharge_branch" in problem
