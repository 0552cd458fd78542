"""The page for the neighbours: whom to call first, distances never below the record, nothing promised or invented.

What a wind of each Beaufort number is like is held against the scale for use on land, from memory.
"""

import re

import pytest

from calc.finding import Status
from calc.mechanisms.words import SYMPTOMS
from calc.rules import RULES
from journal.book import builds, failures, measurements, papers, revisions, sheet, store
from journal.book import records as records_of
from journal.publish import mishaps, neighbourly, writeup
from journal.publish import story as story_of
from tests.conftest import rows
from tests.journal.neighbour_pages import page, say, section, solved, storm, tried, words
from tests.outside.turning_points import ROWS

#: At most so many words for the demo with everything on it, and for any journal, however long.
DEMO_WORDS, ANY_WORDS = 450, 550
GAP = r"\_" * 24
#: Words that nobody next door needs; written down apart from the list of the program.
TRADE = (
    r"furl|rectif|inverter|\bemf\b|winding|torque|dump load|\bbft\b|beaufort|yaw|overspeed|tip.speed|resonan|\brpm\b|"
    r"m/s|dB\(A\)|\bohm|mm2|mm²|\d ?V\b|\d ?A\b|\d ?W\b|shorts|chord|ampacity|furlong|r\d\b"
)


@pytest.fixture
def full(story):
    """The demo with all that can be on its page."""
    with store.journal(story, write=True) as s:
        say(s, "contact", "Odo Quillfeather, 0000 111 222")
        say(s, "promise", "I lower the mast before a gale is forecast, and shut the gate to the field")
        for kind, what, until in (
            ("permission", "one mast up to 10 m and one machine", "2031-02-01"),
            ("insurance", "damage to others up to 3 million", "2026-01-31"),
        ):
            papers.log_paper(s, papers.PaperTyped(what, kind=kind, who="planning office", until=until))
        measurements.log_measurement(
            s,
            measurements.MeasurementTyped(
                "noise.level", "38 dB(A)", attempt="A8", where="at the field gate", wind="Bft 5"
            ),
        )
        revisions.revise(s, title="Taller", because="the hedge")
        sheet.set_values(s, records_of.find_revision(s), {"mast.height": {"typed": "10 m"}})
    return story


def test_all_of_it_is_short_and_whom_to_call_comes_first(full):
    """The demo with contact, promise, papers, noise and a planned change, in at most 450 words."""
    text = page(full)
    assert words(text) <= DEMO_WORDS
    headings = re.findall(r"^## (.*)$", text, re.MULTILINE)
    assert headings[0] == "Whom to call"
    assert "**Odo Quillfeather, 0000 111 222**" in section(text, "Whom to call")
    for said in (
        "**The builder promises:** I lower the mast before a gale is forecast",
        "(force 8, 14 September 2026)",
        "38 decibels at the field gate in a wind of force 5, about a quiet room",
        "The shadow of the blades does not reach the farm.",
        "Permission: one mast up to 10 m and one machine. By planning office. It holds until 1 February 2031.",
        "**Over: it held until 31 January 2026.**",
        "A change is planned",
        "8 January 2026: the battery fuse was found blown; then the unloaded rotor ran away",
    ):
        assert said in text


def test_nobody_needs_to_be_an_engineer(full, path):
    """No word of the trade, no unit of it, no ISO date; only the builder's own account of a failure stays as it is."""
    for text in (page(full), page(path)):
        ours = re.sub(r"!\[.*?\]\(.*?\)", "", text)
        assert re.findall(TRADE, ours, re.IGNORECASE) == []
        assert re.findall(r"\d{4}-\d\d", ours) == []


def test_gaps_are_lines_to_write_on(path):
    """Where nobody said whom to call and nobody promised, a line stands open; no words stand in for them."""
    with store.journal(path, write=True) as s:
        tried(s)
    text = page(path)
    assert f"> **Name and telephone:** {GAP}\n" in section(text, "Whom to call")
    assert f"> **Promised for a storm:** {GAP}\n" in section(text, "In a storm")
    assert "promises:" not in text
    assert re.findall(r"write here|\(.*telephone.*\)|\b0\d{3,}|lorem|example", text, re.IGNORECASE) == []
    for form in ("html", "text", "bbcode"):
        with store.journal(path) as s:
            assert "_" * 24 in writeup.render(story_of.tell(s), "neighbour", form).text


def test_a_promise_is_the_builders_own(path):
    """Word for word, and then there is no gap."""
    with store.journal(path, write=True) as s:
        tried(s)
        say(s, "promise", "I tie it down when the glass falls")
        say(s, "contact", "0000 111 222")
    text = page(path)
    assert "**The builder promises:** I tie it down when the glass falls." in text
    assert r"\_" not in text


def test_the_command_asks_and_keeps_what_is_answered(path, run, answers):
    """At a terminal, once; and the answers are on the page that is written."""
    asked = answers("Odo Quillfeather, 0000 111 222", "I lower it before a gale")
    done = run("writeup", "--for", "neighbour")
    assert (done.code, len(asked)) == (0, 2)
    assert "Whom are the neighbours to call" in asked[0]
    assert "**Odo Quillfeather, 0000 111 222**" in done.out
    assert "Warning" not in done.err
    assert "looks private" not in done.err
    assert rows(path, "SELECT contact, promise FROM build") == [
        ("Odo Quillfeather, 0000 111 222", "I lower it before a gale")
    ]
    asked.clear()
    assert run("writeup", "--for", "neighbour").code == 0
    assert asked == []


def test_who_leaves_it_open_is_warned(path, run, answers):
    """An empty answer keeps nothing; the page has its gap, and the line that fills it is told."""
    answers("", "")
    done = run("writeup", "--for", "neighbour")
    assert GAP in done.out
    assert "Warning: the page does not say whom to call" in done.err
    assert "galebook amend build contact=" in done.err
    assert rows(path, "SELECT contact, promise FROM build") == [(None, None)]


def test_without_a_terminal_it_is_told_on_stderr(path, run, tmp_path):
    """Of both gaps, by ``writeup``, by ``--try`` and by ``open``; of other readers nothing."""
    out = tmp_path / "page.md"
    for command in (
        ("writeup", "--for", "neighbour", "--out", str(out)),
        ("writeup", "--for", "neighbour", "--try"),
        ("open", "neighbour"),
    ):
        done = run(*command)
        assert done.code == 0
        assert done.err.count("Warning: the page ") == 2
        assert "Warning" not in done.out
    assert "Warning" not in run("writeup", "--for", "forum").err


# --- storms -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("wind", "said"),
    [
        ("Bft 8", "a gale, in which walking is hard and twigs break off (force 8, 14 September 2026)"),
        ("Bft 9", "a strong gale, which takes tiles off roofs (force 9, 14 September 2026)"),
        ("17 to 22 m/s", "in which whole trees move (force 7, 14 September 2026)"),
        ("40 mph", "a gale, in which walking is hard and twigs break off (force 8, 14 September 2026)"),
        (None, "a storm of unknown force (14 September 2026)"),
    ],
)
def test_a_blow_that_was_weathered_is_told_with_its_day(path, wind, said):
    """By the lower limit of its wind; 40 mph are 17.9 m/s, a gale from 17.2."""
    with store.journal(path, write=True) as s:
        storm(s, wind)
    text = section(page(path), "In a storm")
    assert said in text
    assert ("That it bears more" in text) == (wind in ("Bft 8", "Bft 9", "40 mph"))
    assert "took harm" not in text


def test_nothing_shown_is_said(path):
    """Runs, other revisions' storms and storms of which nobody said how they went show nothing."""
    with store.journal(path, write=True) as s:
        storm(s, "Bft 9")
        revisions.revise(s, because="another one")
        sheet.set_values(s, records_of.find_revision(s), {"rotor.diameter": {"typed": "2 m"}})
        tried(s, kind="run", wind="Bft 9", outcome="worked")
        storm(s, "Bft 9", outcome="not said")
    text = section(page(path), "In a storm")
    assert "nothing. No storm is on record that it came through." in text


def test_a_storm_in_which_it_broke_shows_nothing_good(path):
    """Whether that was said of the attempt, or of a failure in it; the strongest that it bore is told beside it."""
    with store.journal(path, write=True) as s:
        storm(s, "Bft 7", began="2026-03-01")
        storm(s, "Bft 6", began="2026-03-05")
        storm(s, "Bft 10", "failed", began="2026-04-01")
        made = storm(s, "Bft 9", began="2026-05-01")
        failures.log_failure(s, failures.FailureTyped("a blade tore off", attempt=made.ref, harm="near miss"))
    text = section(page(path), "In a storm")
    assert "it came through a strong wind, in which whole trees move (force 7, 1 March 2026)" in text
    assert "It came through 1 more on record." in text
    assert "**It took harm in a strong gale, which takes tiles off roofs (force 9, 1 May 2026).**" in text


def test_engineers_asides_are_left_out(path):
    """What was seen in a storm is told only where it is plain."""
    with store.journal(path, write=True) as s:
        storm(s, "Bft 8", saw="the tail furled at 11 m/s and it held 380 rpm")
    assert "furled" not in page(path)


# --- what went wrong, papers, dangers ---------------------------------------------------------------------------------


def test_many_failures_are_told_by_the_gravest(path):
    """An injury however old, then near misses, the newest first; the rest is counted; all of it is short."""
    long = "the tail hung by one bolt and we found it only because the dog would not come home that evening " * 4
    with store.journal(path, write=True) as s:
        for n in range(1, 10):
            made = storm(s, "Bft 6", "failed", began=f"2026-0{n}-03")
            failures.log_failure(
                s,
                failures.FailureTyped(
                    f"number {n}: {long}",
                    attempt=made.ref,
                    happened=f"2026-0{n}-03",
                    severity="2",
                    harm="injury" if n == 2 else "near miss",
                    effect=long,
                ),
            )
        for n in range(8):
            papers.log_paper(s, papers.PaperTyped(f"{n} {long}", who=long[:190]))
        for field in ("purpose", "contact", "promise"):
            say(s, field, long)
    text = page(path)
    told = section(text, "What went wrong before")
    numbers = [int(n) for n in re.findall(r"number (\d)", told)]
    assert numbers == [2, 9, 8][: len(numbers)]
    assert f"And {9 - len(numbers)} more that could have hurt somebody, none of them put right." in told
    assert "- Neither permission nor insurance is on record here" in text
    assert words(text) <= ANY_WORDS


@pytest.mark.parametrize(
    ("saw", "told"),
    [
        ("guy anchor pulled out, mast leaning", True),
        ("a crack in one blade", True),
        ("the box burned from inside", True),
        ("the paint is the wrong colour", False),
    ],
)
def test_what_falls_flies_or_burns_is_told_though_nobody_was_near(path, saw, told):
    """By the words of its symptom; before what nobody said anything of."""
    with store.journal(path, write=True) as s:
        made = tried(s, kind="run", began="2026-03-01")
        for what, harm in ((saw, "none"), ("somebody said so", "not said")):
            failures.log_failure(
                s, failures.FailureTyped(what, attempt=made.ref, happened="2026-03-01", severity="4", harm=harm)
            )
    text = section(page(path), "What went wrong before")
    assert (saw in text) == told
    assert "somebody said so" not in text
    assert set(mishaps._NEIGHBOURS_OWN) <= set(SYMPTOMS)


def test_a_storm_that_it_did_not_come_through_whole_is_told(path):
    """Though no failure was logged of it; what lay furthest off is told with it."""
    with store.journal(path, write=True) as s:
        made = storm(s, "Bft 10", "partly", began="2026-03-01", saw="tail tore off halfway, blades cracked")
        measurements.log_measurement(s, measurements.MeasurementTyped("blade.thrown", "310 m", attempt=made.ref))
        storm(s, "Bft 9", "failed", began="2026-04-01", saw="it stopped", wind_how="felt")
    text = section(page(path), "What went wrong before")
    assert "1 March 2026: it took harm in a storm, which uproots trees (force 10). Tail tore off halfway" in text
    assert "A piece lay 310 m away." in text
    assert "1 April 2026: it did not come through a strong gale" in text
    assert text.index("1 March") < text.index("1 April")


@pytest.mark.parametrize(
    ("did", "counts"),
    [
        ("second blow, lowered it beforehand on the ground", False),
        ("took the mast down in time", False),
        ("stood through it, not lowered", True),
    ],
)
def test_what_lay_on_the_ground_came_through_nothing(path, did, counts):
    """By its own words, or by a lowering before it."""
    with store.journal(path, write=True) as s:
        tried(s, did, kind="storm", wind="Bft 9", outcome="worked", began="2026-03-01")
        tried(s, "let it down", kind="lowering", began="2026-04-01")
        storm(s, "Bft 11", began="2026-04-02")
    text = section(page(path), "In a storm")
    assert ("it came through a strong gale" in text) == counts
    assert "violent storm" not in text


def test_small_ones_are_not_told(path):
    """What could have hurt nobody is no neighbour's concern."""
    with store.journal(path, write=True) as s:
        made = tried(s)
        failures.log_failure(s, failures.FailureTyped("it hummed", attempt=made.ref, severity="4", harm="none"))
    assert "Nothing is on record that hurt or could have hurt anybody." in page(path)


@pytest.mark.parametrize(
    ("until", "said"),
    [
        ("2026-11-25", "It holds until 25 November 2026."),
        ("2026-11-24", "**Over: it held until 24 November 2026.**"),
        ("November 2026", "**Perhaps over: it held until November 2026.**"),
        (None, "It names no last day."),
    ],
)
def test_a_paper_is_told_with_whether_it_is_over(path, until, said):
    """Today is 25 November 2026; what is missing beside it is told."""
    with store.journal(path, write=True) as s:
        papers.log_paper(s, papers.PaperTyped("one machine", kind="permission", until=until))
    told = section(page(path), "Permission and insurance")
    assert f"- Permission: one machine. {said}" in told
    assert "No insurance is on record here: ask." in told


def test_insurance_is_told_whatever_else_there_is(path):
    """The newest of each kind comes before older ones, however many those are."""
    with store.journal(path, write=True) as s:
        for year in (2020, 2021, 2022):
            papers.log_paper(s, papers.PaperTyped(f"permit {year}", kind="permission", until=f"{year + 1}-01-01"))
        papers.log_paper(s, papers.PaperTyped("cover lapsed", kind="insurance", until="2024-01-01"))
    told = section(page(path), "Permission and insurance")
    assert told.index("permit 2022") < told.index("Insurance: cover lapsed. **Over") < told.index("permit 2021")
    assert "And 1 more." in told


def test_a_mast_that_fails_is_told(story, run):
    """Where the check says to lower it before a storm, the page says that the mast is too weak."""
    assert "LOWER IT BEFORE A STORM" in run("check", "r2").out
    told = section(page(story), "What must still be put right")
    assert "By the sums its mast is not strong enough for the worst storm." in told


@pytest.mark.parametrize(
    ("feed", "street"),
    [(None, False), ("inverter into a socket by a lead with two plugs", True)],
)
def test_wires_that_kill_are_told_once(path, feed, street):
    """As a danger and not again as unknown; those of the street only where it feeds a house on the grid."""
    with store.journal(path, write=True) as s:
        solved(s, **({"house__feed": feed} if feed else {}))
        tried(s, kind="raising")
    told = section(page(path), "What must still be put right")
    assert "could give a shock that kills" in told
    assert "whether its wires can give a shock" not in told
    assert ("those of the street" in told) == street


def test_the_promise_says_the_builder_where_it_said_the_name(path):
    """On the page whose contact may name the same person; only the name goes."""
    with store.journal(path, write=True) as s:
        tried(s)
        say(s, "builder", "Odo Quillfeather")
        say(s, "contact", "Odo Quillfeather, 0000 111 222")
        say(s, "promise", "I, Odo Quillfeather, will brake it; Odo never sleeps")
    text = page(path)
    assert "**The builder promises:** I, the builder, will brake it; the builder never sleeps." in text
    assert "**Odo Quillfeather, 0000 111 222**" in text


def _dangerous():
    """Rules that say danger somewhere in the table of turning points, or that kill while nothing is known."""
    turns = [(row.rule, row.turns() if callable(row.turns) else row.turns) for row in ROWS]
    said = {rule: list(t.values()) if isinstance(t, dict) else [x for turn in t for x in turn[1:]] for rule, t in turns}
    return {rule for rule, statuses in said.items() if Status.DANGER in statuses} | {r.id for r in RULES if r.deadly}


def test_every_danger_is_one_of_the_things_that_neighbours_fear():
    """No rule's danger ends as "something else"."""
    found = _dangerous()
    assert len(found) > 20
    assert [rule for rule in sorted(found) if neighbourly.topic(rule) == len(neighbourly._TOPICS)] == []


def test_dangers_are_grouped(story, run):
    """Many findings, a few things to fear, each once and in plain words."""
    for value in (
        "rotor.overspeed=none",
        "rotor.brake=none",
        "house.feed=inverter into a socket by a lead with two plugs",
    ):
        name, _, typed = value.partition("=")
        assert run("set", name, typed, "--on", "r2", "--correct", "measured again").code == 0
    text = page(story)
    told = section(text, "What must still be put right")
    assert told.count("the rotor could run away, or throw a piece of a blade") == 1
    assert "could give a shock that kills" in told
    assert re.findall(TRADE, told, re.IGNORECASE) == []
    assert "lead with two plugs. That can kill" in text
    assert words(text) <= ANY_WORDS


# --- other journals ---------------------------------------------------------------------------------------------------


def test_almost_nothing_is_a_short_page(path):
    """Nothing built: it says so, and whom to call; no storm, no distance, no noise."""
    text = page(path)
    assert words(text) < 100
    assert "Nothing stands yet." in text
    assert re.findall(r"^## (.*)$", text, re.MULTILINE) == ["Whom to call", "What it does", "Permission and insurance"]


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("bench test", "So far it has only been tried on a bench"),
        ("lowering", "By this record it was lowered (1 March 2026) and is down since."),
        ("run", "A small wind generator, made by hand. Its purpose"),
    ],
)
def test_one_attempt_is_enough(path, kind, said):
    """What stands, what only lay on a bench, and what was taken down."""
    with store.journal(path, write=True) as s:
        say(s, "purpose", "charge the van")
        tried(s, kind=kind, began="2026-03-01")
    text = page(path)
    assert said in text
    assert words(text) < 320


def test_an_own_template_still_has_its_names(story, tmp_path, run):
    """Those that DEVELOPERS.md told of before."""
    names = ("height", "across", "fall_radius", "throw", "landed", "slowed_by", "stopped_by", "stands_on", "feed")
    mine = "# Mine\n\n" + "\n\n".join(f"{n}: {{{{ {n} }}}}" for n in names) + "\n\n{{ lithium }} {{ battery }}\n"
    (tmp_path / "neighbour.md").write_text(mine)
    done = run("writeup", "--for", "neighbour", "--templates", str(tmp_path))
    assert done.code == 0
    assert "throw: up to 230 m" in done.out


def test_a_build_named_by_its_fields_is_the_one_asked_of(path, run, answers):
    """With two builds in a journal the answer goes to the one that is meant."""
    with store.journal(path, write=True) as s:
        builds.start(s, builds.BuildTyped("Other"))
    answers("0000 333 444", "")
    assert run("--build", "Other", "writeup", "--for", "neighbour").code == 0
    assert dict(rows(path, "SELECT name, contact FROM build")) == {"Shed wind generator": None, "Other": "0000 333 444"}
