"""The first free minutes, by hand."""

import pytest

from intake.bench.timeline import HorizonTooShort, first_free


def test_free_minutes():
    assert first_free(b"\1\0\1\0\0", 0, 2) == 3
    assert first_free(b"\1\0\1\0\0", 0, 0) == 1


def test_no_free_minutes():
    assert first_free(b"\0\0\1", 0, 2) == 0
    with pytest.raises(HorizonTooShort):
        first_free(b"\0\0\1", 0, 3)
