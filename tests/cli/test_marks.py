"""Nothing that a person stored is taken for the marks of the program that draws the screen."""

import pytest

NAMES = ("steel [/] pipe", "[bold]aluminium", "[link=x]wood[/link]", "\\[red]")


@pytest.mark.usefixtures("path")
def test_an_option_of_any_name_is_weighed(run):
    """Brackets stand in its heading as they were typed, and in the heading of a criterion."""
    assert run("decide", "Which [pipe]?").code == 0
    for name in NAMES:
        assert run("option", "D1", name).code == 0
    assert run("criterion", "D1", "looks [/]", "--weight", "3").code == 0
    for command in ("weigh", "show"):
        done = run(command, "D1")
        assert done.code == 0, done.err
        assert [name for name in (*NAMES, "Which [pipe]?") if name not in " ".join(done.out.split())] == []
    assert "looks [/]" in run("weigh", "D1").out


def test_the_sign_that_work_goes_on_shows_words_as_they_are():
    """What is told on it can hold the name of a finding."""
    from journal.screens.terminal import as_plain, working

    with working("Looking for [/]") as sign:
        sign.update(as_plain("Looking: [/red] 3 of 4"))
        assert str(sign.status) == "Looking: [/red] 3 of 4"
