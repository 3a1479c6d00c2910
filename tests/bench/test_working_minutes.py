"""Look-ups in working time laid out."""

import pytest

from intake.bench.timeline import HorizonTooShort
from intake.bench.working_minutes import OpenMinutes

OPENED = OpenMinutes(bytes([1, 1, 0, 0, 0, 1, 1, 0, 0, 1]))
"""Open at 2, 3, 4, 7 and 8."""


@pytest.mark.parametrize(
    ("start", "length", "found"), [(0, 1, 2), (0, 3, 2), (3, 2, 3), (4, 2, 7), (8, 1, 8), (0, 0, 2)]
)
def test_first(start, length, found):
    assert OPENED.first(start, length) == found


@pytest.mark.parametrize(("start", "length"), [(3, 3), (8, 2), (9, 1)])
def test_no_such_stretch(start, length):
    with pytest.raises(HorizonTooShort):
        OPENED.first(start, length)


@pytest.mark.parametrize(
    ("start", "minutes", "found"),
    [(0, 1, 3), (0, 3, 5), (0, 4, 8), (4, 2, 8), (5, 2, 9), (6, 0, 6), (6, -1, 6)],
)
def test_after_so_many_open_minutes(start, minutes, found):
    assert OPENED.after(start, minutes) == found


def test_they_do_not_pass():
    with pytest.raises(HorizonTooShort):
        OPENED.after(0, 6)


@pytest.mark.parametrize(
    ("start", "length", "found"), [(0, 3, 2), (3, 3, 3), (3, 2, 3), (4, 2, 7), (4, 4, 4)]
)
def test_in_one_piece_where_some_shift_is_long_enough(start, length, found):
    """No stretch is longer than three minutes, so four are begun at once; three from 3 on come no more."""
    if (start, length) == (3, 3):
        with pytest.raises(HorizonTooShort):
            OPENED.in_one_piece(start, length)
    else:
        assert OPENED.in_one_piece(start, length) == found


@pytest.mark.parametrize(
    ("start", "minutes", "found"),
    [(0, 2, [(2, 4)]), (2, 3, [(2, 5)]), (2, 4, [(2, 5), (7, 8)]), (4, 3, [(4, 5), (7, 9)]), (6, 0, [])],
)
def test_pieces(start, minutes, found):
    assert list(OPENED.pieces(start, minutes)) == found
    assert list(OpenMinutes(bytes(9)).pieces(2, 5)) == [(2, 7)]


def test_pieces_that_never_pass():
    with pytest.raises(HorizonTooShort):
        list(OPENED.pieces(3, 5))


def test_when_the_person_leaves():
    opened = OpenMinutes(bytes(3) + b"\1" * 2 + bytes(2))
    assert [opened.closing(moment) for moment in range(7)] == [3, 3, 3, 3, 4, 7, 7]
    assert opened.closings() == [3]


def test_when_the_person_comes():
    assert OpenMinutes(bytes(3) + b"\1" * 2 + bytes(2)).openings() == [0, 5]
    assert OpenMinutes(b"\1" + bytes(2) + b"\1").openings() == [1]
