"""JSON that says what it means, or is refused."""

import os
import time
from pathlib import Path

import pytest

from intake.policy import strict_json as module
from intake.policy.strict_json import read_json_file, read_strict_json


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
    with pytest.raises(ValueError, match="'grade' appears twice"):
        read_strict_json(b'{"x": {"grade": "recycle", "tag": 1, "grade": "resale"}}')


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe\x00", b"[1,]"])
def test_what_is_no_json_is_a_value_error(content):
    with pytest.raises(ValueError, match=r".+"):
        read_strict_json(content)


def test_a_deep_nest_is_a_recursion_error():
    with pytest.raises(RecursionError):
        read_strict_json(b"[" * 200_000)


def test_other_encodings_than_utf_8_are_refused_and_its_mark_is_not_read():
    assert {"a": "ü"} == read_strict_json(b"\xef\xbb\xbf" + '{"a": "ü"}'.encode())
    for encoding in ("utf-16", "utf-32", "latin-1"):
        with pytest.raises(ValueError, match="not in UTF-8"):
            read_strict_json('{"a": "ü"}'.encode(encoding))


def test_keys_are_looked_through_once():
    """Ten times the keys take about ten times as long, not a hundred times."""

    def seconds(count: int) -> float:
        content = b"{" + b",".join(b'"%d":1' % one for one in range(count)) + b',"%d":1}' % (count - 1)
        begun = time.process_time()
        with pytest.raises(ValueError, match="appears twice"):
            read_strict_json(content)
        return time.process_time() - begun

    seconds(1000)
    assert seconds(200_000) < 40 * max(seconds(20_000), 0.005)


def test_a_number_of_a_million_digits_is_refused_at_once():
    for number in (b"9" * 1_000_000, b"0." + b"1" * 1_000_000, b"1e" + b"9" * 1_000_000):
        with pytest.raises(ValueError, match="is not a number that can be used"):
            read_strict_json(b"[%s]" % number)


def test_a_document_of_too_many_values_is_not_read(monkeypatch):
    monkeypatch.setattr(module, "VALUES_MOST", 5)
    assert [1, 2, 3, 4, 5] == read_strict_json(b"[1,2,3,4,5]")
    with pytest.raises(ValueError, match="million values"):
        read_strict_json(b"[1,2,3,4,5,6]")


@pytest.mark.parametrize("make", [os.mkfifo, Path.mkdir, lambda path: path.symlink_to("/dev/zero")])
def test_only_a_file_is_read(tmp_path, make):
    make(tmp_path / "policy.json")
    with pytest.raises(ValueError, match="a folder, a pipe or a device"):
        read_json_file(tmp_path / "policy.json")


def test_a_file_beyond_the_cap_is_not_read(tmp_path):
    with (tmp_path / "policy.json").open("wb") as file:
        file.truncate(1 << 40)
    with pytest.raises(ValueError, match="larger than 4 MiB"):
        read_json_file(tmp_path / "policy.json")


def test_a_deep_nest_in_a_file_is_told_in_words(tmp_path):
    (tmp_path / "policy.json").write_bytes(b"[" * 100_000)
    with pytest.raises(ValueError, match="nested too deeply"):
        read_json_file(tmp_path / "policy.json")


@pytest.mark.parametrize("text", ["\\ud800", "a\\uDFFFb", "\\ud83d\\ud83d"])
def test_half_of_a_surrogate_pair_is_refused_in_texts_and_keys(text):
    for content in (f'["{text}"]', f'{{"{text}": 1}}', f'{{"a": [{{"b": "{text}"}}]}}'):
        with pytest.raises(ValueError, match="half of a surrogate pair"):
            read_strict_json(content.encode())


def test_a_whole_surrogate_pair_is_one_sign():
    assert ["\U0001f50b", "\\ud800"] == read_strict_json(b'["\\ud83d\\udd0b", "\\\\ud800"]')
