"""What the shell offers behind a command: references, names, words, files, each where it fits."""

import pytest

from journal.cli import common, main


@pytest.fixture
def offered(story, monkeypatch, capsys):
    """What bash is offered behind a line in which the last word is begun."""
    # A shell starts a process of its own; here another test may have named a journal.
    for name in ("journal", "build"):
        monkeypatch.setattr(common.meant, name, None)

    def ask(line):
        words = line.split(" ")
        monkeypatch.setenv("_GALEBOOK_COMPLETE", "complete_bash")
        monkeypatch.setenv("COMP_WORDS", line)
        monkeypatch.setenv("COMP_CWORD", str(len(words) - 1))
        monkeypatch.setattr("sys.argv", ["galebook"])
        with pytest.raises(SystemExit):
            main()
        return capsys.readouterr().out.split("\n")[:-1]

    return ask


@pytest.mark.parametrize(
    ("line", "among", "not_among"),
    [
        ("galebook show F", ["F1", "F2"], ["A1", "D1"]),
        ("galebook why ", ["F1"], ["A1"]),
        ("galebook fail x --attempt ", ["A1"], ["F1", "M1"]),
        ("galebook look F1 gre", ["green-terminals"], ["ice"]),
        ("galebook look F1 ice c", ["cannot tell"], ["yes"]),
        ("galebook check ", ["r1", "r2"], ["F1"]),
        ("galebook set rotor.di", ["rotor.diameter"], ["rotor.blades"]),
        ("galebook set cable.mast.l", ["cable.mast.length"], []),
        ("galebook set storage.chemistry L", ["LiFePO4"], ["flooded lead-acid"]),
        ("galebook set rotor.diameter x --from m", ["measured"], ["estimate"]),
        ("galebook fail x --harm ", ["none", "injury"], ["F1"]),
        ("galebook attempt x --outcome w", ["worked"], ["failed"]),
        ("galebook writeup --for n", ["neighbour"], ["forum"]),
        ("galebook accept wiring.f", ["wiring.fuse"], ["wiring.voltage-drop"]),
        ("galebook criterion D1 year", ["yearly_energy"], []),
        ("galebook measure charge.c", ["charge.current"], ["charge.power"]),
        ("galebook cho", ["choose"], ["check"]),
    ],
)
def test_what_fits_is_offered(offered, line, among, not_among):
    found = offered(line)
    assert set(among) <= set(found)
    assert not set(not_among) & set(found)


def test_nothing_goes_wrong_without_a_journal(offered, monkeypatch):
    monkeypatch.setenv("GALEBOOK_JOURNAL", "/nowhere/at/all.db")
    assert not any(offered("galebook show F"))
    assert "rotor.diameter" in offered("galebook set rotor.di")


def test_other_commands_pay_nothing_for_it(run, story):
    """What completes is loaded by nobody but the shell."""
    import sys

    sys.modules.pop("journal.cli.completing", None)
    assert run("list", "failures").code == 0
    assert "journal.cli.completing" not in sys.modules
