"""Permissions, insurances and other papers, with their dates and copies."""

import pytest

from journal.book import papers, store
from tests.conftest import rows


def log(run, *more):
    return run("paper", "mast of 10 m, one machine", "--kind", "permission", "--by", "planning office", *more)


def test_a_paper_is_logged_listed_and_shown(path, run):
    """With who gave it and how long it holds."""
    done = log(run, "--when", "2026-02-01", "--until", "2031-02-01", "--number", "PL/24/117", "--note", "in the drawer")
    assert (done.code, done.out) == (0, "L1\n")
    assert "galebook attach FILE --to L1" in done.err
    assert rows(path, "SELECT kind, who, serial, given, until FROM paper") == [
        ("permission", "planning office", "PL/24/117", "2026-02-01", "2031-02-01")
    ]
    assert "mast of 10 m" in run("list", "papers").out
    assert "PL/24/117" in run("show", "L1").out


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--kind", "verbal"), "permission"),
        (("--when", "2026-02-01", "--until", "2025-01-01"), "before it began"),
        (("--until", "soon"), "soon"),
        (("--when", "2099-01-01"), "yet to come"),
    ],
)
def test_what_cannot_be_is_refused(path, run, more, said):
    """In one line, and nothing is logged."""
    done = log(run, *more)
    assert (done.code, done.err.count("\n")) == (2, 1)
    assert said in done.err
    assert rows(path, "SELECT count(*) FROM paper") == [(0,)]


def test_a_paper_that_is_over_is_told_by_status(path, run):
    """Until its last day it holds."""
    log(run, "--until", "2026-11-25")
    run("paper", "damage to others", "--kind", "insurance", "--until", "2026-11-24")
    told = run("status").out
    assert "L2 insurance until 2026-11-24" in told
    assert "L1" not in told


def test_a_copy_belongs_to_it_and_it_can_be_corrected(path, run, tmp_path):
    """As with any record."""
    log(run)
    (tmp_path / "permit.pdf").write_bytes(b"%PDF")
    assert run("attach", str(tmp_path / "permit.pdf"), "--to", "L1", "--private").code == 0
    assert run("amend", "L1", "until=2030-01-01", "--because", "looked it up").code == 0
    assert "2030-01-01" in run("show", "L1").out
    assert run("withdraw", "L1", "--because", "another plot").code == 0
    assert "No papers yet" in run("list", "papers").out


def test_neighbours_are_told_what_holds_and_what_is_over(story, run):
    """Without its number, which is nobody else's."""
    assert "Neither is on record" in run("writeup", "--for", "neighbour").out
    log(run, "--until", "2031-02-01", "--number", "PL/24/117")
    run("paper", "damage to others up to 3 million", "--kind", "insurance", "--until", "2026-01-31")
    page = run("writeup", "--for", "neighbour").out
    assert "Permission: mast of 10 m, one machine. By planning office. It holds until 1 February 2031." in page
    assert "**Over: it held until 31 January 2026.**" in page
    assert "PL/24/117" not in page
    assert "PL/24/117" in run("writeup", "--for", "workshop").out


def test_a_paper_ends_with_its_day(path):
    """Whatever it says else."""
    with store.journal(path, write=True) as s:
        made = papers.log_paper(s, papers.PaperTyped("x", until="2026-12-01"))
    assert [papers.has_ended(made, day) for day in ("2026-11-30", "2026-12-01", "2026-12-02")] == [False, False, True]
    assert not papers.has_ended(papers.Paper(kind="other", what="x"), "9999-01-01")
