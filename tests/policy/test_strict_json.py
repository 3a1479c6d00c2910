"""JSON that says what it means, or is refused."""

import pytest

from intake.policy.strict_json import read_strict_json


def test_plain_values_are_read():
    assert {"a": [1, 2.5, None, True, "ü"], "b": {}} == read_strict_json(
        '{"a": [1, 2.5, null, true, "ü"], "b": {}}'.encode()
    )


@pytest.mark.parametrize("text", ["NaN", "-Infinity", "1e999", '{"a": [NaN]}'])
def test_a_number_that_can_not_be_used_is_refused(text):
    with pytest.raises(ValueError, match="is not a number that can be used"):
        read_strict_json(text.encode())


def test_an_integer_of_any_length_is_no_trap():
    with pytest.raises(ValueError, match="number"):
        read_strict_json(b"9" * 4000)


def test_a_key_given_twice_is_refused_not_overruled():
    with pytest.raises(ValueError, match="'grade' stands twice"):
        read_strict_json(b'{"x": {"grade": "recycle", "tag": 1, "grade": "resale"}}')


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe\x00", b"[1,]"])
def test_what_is_no_json_is_a_value_error(content):
    with pytest.raises(ValueError, match=r".+"):
        read_strict_json(content)


def test_a_deep_nest_is_a_recursion_error():
    with pytest.raises(RecursionError):
        read_strict_json(b"[" * 200_000)
