"""Codes and sessions: good once, for so long, and not to be guessed."""

import pytest

from journal.web import door as doors
from journal.web.door import Door, TooMany


class Clock:
    """Seconds that pass when they are told to."""

    now = 1000.0

    def __call__(self):
        """Read it."""
        return self.now


@pytest.fixture
def clock_of_the_door():
    """A clock of its own."""
    return Clock()


@pytest.fixture
def door(clock_of_the_door):
    """A door with that clock."""
    return Door(clock_of_the_door)


def test_a_code_lets_in_once(door):
    """However it is typed; the second time it is a wrong one."""
    code = door.new_code()
    token = door.come_in(f" {doors.spoken(code).lower()} ", "a")
    assert door.guest(token).secret
    assert door.come_in(code, "a") is None
    assert door.guest(token[:-1]) is None
    assert door.guest(None) is None


def test_nobody_comes_in_before_a_code_was_made(door):
    """Not with an empty one either."""
    assert door.come_in("", "a") is None


def test_a_new_code_takes_the_place_of_the_one_before(door):
    """What is no longer shown is no longer good."""
    first = door.new_code()
    door.new_code()
    assert door.come_in(first, "a") is None


def test_codes_and_sessions_end(door, clock_of_the_door):
    """A quarter of an hour, and twelve hours."""
    code = door.new_code()
    clock_of_the_door.now += doors.CODE_LIFE + 1
    assert door.come_in(code, "a") is None
    token = door.come_in(door.new_code(), "a")
    clock_of_the_door.now += doors.SESSION_LIFE - 1
    assert door.guest(token)
    clock_of_the_door.now += 2
    assert door.guest(token) is None


def test_whoever_leaves_is_out(door):
    """At once."""
    token = door.come_in(door.new_code(), "a")
    door.leave(token)
    assert door.guest(token) is None


def test_wrong_codes_are_counted_for_each_address(door, clock_of_the_door):
    """After five nothing from there is looked at for ten minutes, not even the right one; others still come in."""
    for _ in range(doors.WRONG_FROM_ONE):
        assert door.come_in("AAAAAAAA", "a") is None
    code = door.new_code()
    with pytest.raises(TooMany):
        door.come_in(code, "a")
    assert door.come_in(code, "b")
    clock_of_the_door.now += doors.WINDOW + 1
    assert door.come_in(door.new_code(), "a")


def test_wrong_codes_are_counted_over_all_addresses(door):
    """Whoever has many addresses guesses no more often."""
    for n in range(doors.WRONG_FROM_ALL):
        door.come_in("AAAAAAAA", f"a{n}")
    with pytest.raises(TooMany):
        door.come_in(door.new_code(), "z")


def test_guessing_is_hopeless():
    """In the life of a code, against as many guesses as are looked at: less than one chance in a thousand million."""
    guesses = doors.WRONG_FROM_ALL * (doors.CODE_LIFE / doors.WINDOW + 1)
    assert guesses / len(doors._LETTERS) ** doors._LENGTH < 1e-9


def test_there_are_few_sessions_at_once(door):
    """The oldest goes."""
    tokens = [door.come_in(door.new_code(), "a") for _ in range(doors.MOST_SESSIONS + 1)]
    assert [bool(door.guest(t)) for t in tokens] == [False, *[True] * doors.MOST_SESSIONS]
