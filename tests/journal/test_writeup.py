"""Write-ups: structure, privacy, hostile text, own templates, and files that are whole or not there."""

import itertools
import os
import re
from functools import cache
from html.parser import HTMLParser

import pytest

from calc.machine import design
from calc.units import as_written
from journal.book import (
    attachments,
    attempts,
    builds,
    claims,
    corrections,
    decisions,
    failures,
    measurements,
    parts,
    records,
    revisions,
    safe_files,
    sheet,
    store,
)
from journal.book.plain_text import harmless
from journal.errors import BadInput, Refused
from journal.publish import bounds, page, private, saving, writeup
from journal.publish import story as story_of
from journal.publish.readers import READERS
from journal.review import acceptance, forecast, proof, weighing
from tests.conftest import BUILD, pin

#: Readers from whom something private is kept.
PUBLIC = [name for name, reader in READERS.items() if not reader.shows >= set(private.KINDS)]


def render(path, reader, form="md", own=None):
    """The text of one write-up."""
    with store.journal(path) as s:
        return writeup.render(story_of.tell(s), reader, form, own).text


@pytest.fixture(scope="module")
def demo_page(told):
    """The demo as it is told to a reader, gathered once for all that look at it: ``demo_page("forum", "html")``."""
    with pytest.MonkeyPatch.context() as patch:
        pin(patch)
        with store.journal(told / "demo.db") as s:
            tale = story_of.tell(s)
            made = cache(lambda reader, form, extra: writeup.render(tale, reader, form, extra=extra).text)

            def page(reader, form="md", own=None, extra=frozenset()):
                return made(reader, form, extra) if own is None else writeup.render(tale, reader, form, own).text

            yield page


@pytest.fixture(params=READERS)
def reader(request):
    """Each reader in turn."""
    return request.param


def test_no_heading_stands_alone(demo_page, reader):
    """Below each heading there is something to read, or a heading of a lower rank."""
    lines = [line for line in demo_page(reader).splitlines() if line.strip()]
    ranks = [len(m[0]) if (m := re.match(r"#+(?= )", line)) else 0 for line in lines]
    alone = [a for a, r, next_rank in zip(lines, ranks, [*ranks[1:], 1], strict=True) if r and 0 < next_rank <= r]
    assert alone == []


def test_nothing_raw_shows(demo_page, reader):
    """No Python values, no template syntax, no doubled spaces or stops, no empty brackets."""
    text = demo_page(reader)
    assert re.findall(r"\bNone\b|\bnan\b|\{\{|\}\}|\{%|<[a-z]|\(\)|Markup", text) == []
    # A diagram is drawn with spaces.
    prose = [line for line in text.splitlines() if not line.startswith("    ")]
    assert [line for line in prose if re.search(r"[^\s|]  +\S|\S  +[^\s|]", line)] == []
    assert re.findall(r"[^.]\.\.(?!\.)|[:;,]\s*[,;]|\s[.,;](?!\d)", text) == []
    assert "\n\n\n" not in text


#: In the letters of people, which stand behind a number.
UNITS = {as_written(f"1 {e.shown}")[2:] for e in design.catalogue().values() if e.shown} | {"kWh", "GBP"}


def test_every_number_of_a_figure_has_its_unit(demo_page):
    """In the tables of key figures: a number is followed by a unit, but for counts."""
    known = "measured|data plate|seller's claim|estimate|as decided"
    cells = re.findall(
        rf"^\| ([^|]+) \| ([^|]+) \| (?:{known})", demo_page("forum", extra=frozenset({"appendix"})), re.MULTILINE
    )
    assert len(cells) > 20
    bare = [(m, v) for m, v in cells if re.match(r"[\d.]+", v) and v.split()[1:2] == []]
    counts = {e.meaning for e in design.catalogue().values() if not e.shown}
    assert {re.sub(r" \([^)]*\)$", "", meaning) for meaning, _ in bare} <= counts
    units = {v.split()[1] for _, v in cells if re.match(r"[\d.]+ \S", v)}
    assert units <= UNITS


SECRETS = {
    "place": "Hollowmere Lane 7",
    "builder": "Odo Quillfeather",
    "contact": "0000 111 222",
    "private_note": "hide the key",
}
MORE_SECRETS = (
    "serial-4711",
    "a note on the part",
    "on the attempt",
    "on the reading",
    "on the failure",
    "on the decision",
)


@pytest.fixture
def secret(path):
    """A journal with something private in every place that can hold it."""
    with store.journal(path, write=True) as s:
        for field, value in SECRETS.items():
            corrections.amend(s, "build", field, value, "told now")
        sheet.set_values(s, records.find_revision(s), {"rotor.diameter": {"typed": "2.2 m"}})
        parts.add_part(s, parts.PartTyped("hub motor", serial=MORE_SECRETS[0], private_note=MORE_SECRETS[1]))
        decisions.open_decision(s, decisions.DecisionTyped("Which voltage?", private_note=MORE_SECRETS[5]))
        attempts.log_attempt(s, attempts.AttemptTyped("ran it", private_note=MORE_SECRETS[2]))
        measurements.log_measurement(
            s, measurements.MeasurementTyped("battery.voltage", "12 V", attempt="A1", private_note=MORE_SECRETS[3])
        )
        failures.log_failure(
            s, failures.FailureTyped("it stopped", attempt="A1", private_note=MORE_SECRETS[4], severity=2)
        )
    return path


@pytest.mark.parametrize("form", ["md", "html"])
@pytest.mark.parametrize("public", PUBLIC)
def test_private_data_stays_out(secret, public, form):
    """Neither place, builder, serial numbers nor notes, but what its reader may have."""
    text = render(secret, public, form)
    kinds = {"private_note": "notes"}
    may = [x for name, x in SECRETS.items() if kinds.get(name, name) in READERS[public].shows]
    may += MORE_SECRETS[:1] if "serials" in READERS[public].shows else ()
    may += MORE_SECRETS[1:] if "notes" in READERS[public].shows else ()
    assert [x for x in (*SECRETS.values(), *MORE_SECRETS) if x in text and x not in may] == []


def test_the_neighbour_alone_knows_whom_to_call(secret):
    """Of our pages for others."""
    assert [r for r in ("forum", "neighbour") if SECRETS["contact"] in render(secret, r)] == ["neighbour"]


def test_the_workshop_has_all_of_it(secret):
    """The builder's own version leaves out nothing of the build and its parts."""
    text = render(secret, "workshop")
    assert [x for x in (*SECRETS.values(), MORE_SECRETS[0], MORE_SECRETS[2], MORE_SECRETS[4]) if x not in text] == []


def test_what_was_left_out_is_told(secret, run):
    """On stderr, so that the text itself stays clean."""
    said = "Left out: the exact place, the builder's name, how to reach the builder, serial numbers, private notes."
    assert said in run("writeup", "--for", "forum").err
    assert "Left out" not in run("writeup", "--for", "workshop").err


HOSTILE = [
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "![x](http://a.invalid/x.png)",
    "[click](javascript:alert(1))",
    "[ref]: http://a.invalid 'x'",
    "<http://a.invalid>",
    "</main></body><h1>mine</h1>",
    "<!-- ", "<![CDATA[ x", "&lt;b&gt; &amp; &#60;i&#62;",
    "a | b || c", "`code` ``more``", "**bold** __bold__ *em* _em_", "# heading", "- item", "1. item", "> quote",
    "+ plus", "===", "---", "~~~", "    indented", "{{ 7*7 }}", "{% for x in y %}", "{# gone #}", "${7*7}", "%(x)s",
    "line\n\n# one\n\nline two", "tab\tand\u2028separator", "back\\slash \\* \\`", "::: note", "\u202eright to left",
    "x" * 5000,
]  # fmt: skip


def _everywhere(path, texts):
    """A journal in which every field that takes text holds one of these, in turn."""
    turn = itertools.cycle(texts)

    def t(limit=10_000):
        return next(turn)[:limit].strip()

    first, second = t(110), t(110)
    with store.journal(path, write=True) as s:
        builds.start(
            s,
            builds.BuildTyped(
                f"{t(100)} build", purpose=t(), region=t(), place=t(), builder=t(), contact=t(), title=t()
            ),
        )
        items = {
            "rotor.diameter": "2.2 m", "generator.emf_constant": "62 rpm/V", "storage.voltage": "12 V",
            "mast.kind": "on a roof or gable", "mast.height": "8 m", "house.feed": "nothing in the house",
        }  # fmt: skip
        sheet.set_values(s, records.find_revision(s), {p: {"typed": v, "note": t()} for p, v in items.items()})
        parts.add_part(
            s,
            parts.PartTyped(
                t(110),
                role=t(),
                condition="new",
                source=t(),
                cost="3 EUR",
                rating=t(),
                history=t(),
                serial=t(),
                private_note=t(),
            ),
        )
        claims.log_claim(s, "400 W at 9 m/s", t(110))
        decisions.open_decision(s, decisions.DecisionTyped(t(), context=t(), private_note=t()))
        weighing.offer_option(s, "D1", decisions.OptionTyped(first, summary=t(), changes={"mast.height": "9 m"}))
        weighing.offer_option(s, "D1", decisions.OptionTyped(f"{second} 2", summary=t()))
        weighing.choose_option(s, "D1", weighing.ChoiceTyped("1", t(), expected=t(), odds="50%"))
        forecast.conclude(s, "D1", "partly", t())
        acceptance.accept_finding(s, None, "mast.roof", t(), "2027-01-01")
        attempts.log_attempt(
            s, attempts.AttemptTyped(t(), saw=t(), wind="Bft 4", wind_how=t(), private_note=t(), outcome="partly")
        )
        measurements.log_measurement(
            s,
            measurements.MeasurementTyped(
                "battery.voltage", "12 V", attempt="A1", where=t(), instrument=t(), conditions=t(), private_note=t()
            ),
        )
        measurements.log_measurement(s, measurements.MeasurementTyped("rotor.speed", missing=t(), attempt="A1"))
        measurements.log_measurement(
            s, measurements.MeasurementTyped("noise.level", "41 dB(A)", where=t(), instrument=t())
        )
        photo = path.parent / "photo.jpg"
        photo.write_bytes(b"x")
        attachments.attach(s, photo, "A1", caption=t())
        failures.log_failure(
            s,
            failures.FailureTyped(
                t(),
                attempt="A1",
                item=t(),
                effect=t(),
                contained=t(),
                cause=t(),
                sure="50%",
                evidence=t(),
                private_note=t(),
                severity=1,
                harm="near miss",
            ),
        )
        failures.believe(s, "F1", failures.CauseTyped(t(), rule="mast.roof", because=t()))
        failures.add_evidence(s, "F1", failures.EvidenceTyped(t()))
        failures.reject(s, "F1", 1, t())
        parts.fate(s, "P1", "broken", note=t())
        revisions.revise(s, title=t(), because=t())
        failures.correct(s, "F1", by="D1", built_into="r2", criterion=t())
        attempts.log_attempt(s, attempts.AttemptTyped(t(), outcome="worked"))
        proof.verify(s, "F1", "A2", t())


#: What the program sets around the text of a page: what scrolls, what folds, what is printed by itself.
OURS = {
    ("table", ("tabindex", "0")), ("pre", ("tabindex", "0")), ("nav", ("aria-label", "Contents")),
    *(("div", ("class", name)) for name in ("pair", "columns", "dense")), ("section", ("class", "first")),
}  # fmt: skip
SET = {"main", "nav", "a", "span", "details", "summary", "section", "div"}


def set_by_us(tag, attrs):
    """Whether it is a place of ours to be led to, or leads to one: a chapter, a record, an assumption or a source."""
    place = {"span": r"[A-Z]\d+|[as]\d+", "h2": r"chapter-\d+", "a": r"#(?:[A-Z]\d+|[as]\d+|chapter-\d+)"}
    named = [("href" if tag == "a" else "id", "")]
    return tag in place and [(n, "") for n, _ in attrs] == named and bool(re.fullmatch(place[tag], attrs[0][1]))


class _Page(HTMLParser):
    """What a browser would make of a page."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.tags, self.attributes, self.comments, self.text = [], [], [], ""

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += [] if (tag, *attrs) in OURS or set_by_us(tag, attrs) else attrs

    def handle_comment(self, data):
        self.comments.append(data)

    def handle_data(self, data):
        self.text += data


def parsed(text):
    """The body of a page, read."""
    made = _Page()
    # Pictures of our own stand in figures that are set in after the cleaning.
    made.feed(re.sub(r"<figure>.*?</figure>", "", re.split("<body[^>]*>", text)[1], flags=re.DOTALL))
    return made


def test_hostile_text_stays_text(path):
    """In every field of every record: no tag, no attribute, no link comes of it, and it can be read as typed."""
    words = ""
    for begin in (0, 11):
        _everywhere(path, HOSTILE[begin:] + HOSTILE[:begin])
        for reader in READERS:
            seen = parsed(render(path, reader, "html"))
            assert set(seen.tags) <= {*page.TAGS, *SET}
            # A hint of our own beside wide tables is no attribute of theirs.
            theirs = [a for a in seen.attributes if a != ("class", "slide")]
            assert (theirs, seen.comments) == ([], [])
            words += " ".join(seen.text.split())
    assert [t for t in HOSTILE if harmless(" ".join(t.split()))[:100].rstrip(".") not in words] == []


LEADING = [
    "# heading",
    "- item",
    "1. item",
    "> quote",
    "+ plus",
    "===",
    "---",
    "| a | b |",
    "**bold**",
    "a\n\n# b",
    "~~~",
]


def test_hostile_text_changes_no_structure(path):
    """As many headings, tables, rows, items and bold words as with a harmless text."""
    tags = ("h1", "h2", "h3", "h4", "table", "tr", "td", "li", "strong", "em", "code", "blockquote", "hr")

    def shape():
        pages = [render(path, reader, "html") for reader in READERS]
        return [[len(re.findall(f"<{tag}[ >]", page)) for tag in tags] for page in pages]

    _everywhere(path, ["Harmless"])
    harmless = shape()
    for begin in (0, 4):
        _everywhere(path, LEADING[begin:] + LEADING[:begin])
        assert shape() == harmless


def test_own_templates_stand_in_for_ours(demo_page, tmp_path):
    """Only those of the same name; ours are still there to be shared."""
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "forum.md").write_text('{% import "_parts.md" as part %}# Mine: {{ build.name }}\n')
    assert demo_page("forum", own=tmp_path / "own") == f"# Mine: {BUILD}\n"
    assert demo_page("neighbour", own=tmp_path / "own") == demo_page("neighbour")


BROKEN = [
    ("forum.md", "# Mine\n\n{{ build.nmae }}\n", 3),
    ("forum.md", "# Mine\n{% if %}\n", 2),
    ("forum.md", "\n\n\n{{ 1 / 0 }}", 4),
    ("forum.md", "\n{{ build.name + 1 }}", 2),
    ("forum.md", '\n{% include "gone.md" %}', 2),
    ("forum.md", "\n{{ picture('nobodys') }}", 2),
    ("forum.md", "\n\n{{ picture('torque-r9') }}", 3),
    ("forum.md", "\n{{ story.chapters[0].findings('dangr') }}", 2),
    ("forum.md", "\n{% for a in range(9999) %}{% for b in range(9999) %}{% endfor %}{% endfor %}", 2),
    ("forum.md", "\n{% set r = range(999) | list %}{% for a in r %}{% for b in r %}{% endfor %}{% endfor %}", 2),
    ("forum.md", "\n{% macro f(n) %}{% if n %}{{ f(n - 1) }}{{ f(n - 1) }}{% endif %}{% endmacro %}{{ f(40) }}", 2),
    ("forum.md", "\n{% macro f() %}{{ f() }}{% endmacro %}{{ f() }}", 2),
    ("forum.md", "\n{{ 'a' * 10000000000 }}", 2),
    ("forum.md", "\n{{ 9 ** (9 ** 9) }}", 2),
    ("page.html", "<html>\n{% for a in range(999999) %}{% endfor %}", 2),
    ("page.html", "<html>\n{{ nothing( }}", 2),
    ("page.html", "<html>\n{{ 1 / 0 }}", 2),
]


@pytest.mark.parametrize(("name", "source", "line"), BROKEN, ids=[f"{n}-{s.strip()[-12:]}" for n, s, _ in BROKEN])
def test_an_error_in_a_template_is_told_with_file_and_line(story, tmp_path, run, name, source, line):
    """One line on stderr, exit code 2, and no output."""
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / name).write_text(source)
    out = tmp_path / "out.html"
    result = run(
        "writeup", "--for", "forum", "--format", "html", "--templates", str(tmp_path / "own"), "--out", str(out)
    )
    assert (result.code, result.out, result.err.count("\n")) == (2, "", 1)
    assert f"{tmp_path / 'own' / name}, line {line}: " in result.err
    assert not out.exists()


def test_a_template_that_takes_too_long_is_told(demo_page, tmp_path, monkeypatch):
    """Also where its steps are few and each is long."""
    monkeypatch.setattr(bounds, "SECONDS", 0.0)
    (tmp_path / "forum.md").write_text("{% for c in story.chapters %}{{ c.revision.ref }}{% endfor %}")
    with pytest.raises(BadInput, match="goes on for too long"):
        demo_page("forum", own=tmp_path)


def test_a_loop_within_bounds_is_as_ever(demo_page, tmp_path):
    """Its first, its last, its length; arithmetic too."""
    (tmp_path / "forum.md").write_text(
        "{% for n in range(3) %}{{ loop.index }}/{{ loop.length }}{{ '.' if loop.last else ',' }}{% endfor %}"
        " {{ 3 * 4 }} {{ 2 ** 3 }} {{ 'a' * 3 }}"
    )
    assert demo_page("forum", own=tmp_path) == "1/3,2/3,3/3. 12 8 aaa\n"


def test_a_template_that_is_no_text_is_told(demo_page, tmp_path):
    """With the folder it is in."""
    (tmp_path / "forum.md").write_bytes(b"\xff")
    with pytest.raises(BadInput, match="A template in"):
        demo_page("forum", own=tmp_path)


def test_a_page_fetches_and_runs_nothing(demo_page, reader):
    """No script, no address, and a policy that forbids both."""
    text = demo_page(reader, "html")
    assert "default-src 'none'" in text
    assert re.findall(r"<script|<link|<iframe|https?:|javascript:|@import|url\(", text) == []
    assert all(src.startswith("data:image/") for src in re.findall(r'<img src="([^"]*)"', text))
    assert len(re.findall(r"<img ", text)) == len(re.findall(r'<img src="data:image/[^"]*" alt="[^"]+">', text))


def test_the_title_of_the_page_is_the_heading(story, reader):
    """Once escaped, not twice."""
    with store.journal(story, write=True) as s:
        corrections.amend(s, "build", "name", "A <b>*mill*</b> & more", "a hostile name")
    text = render(story, reader, "html")
    assert re.search(r"<title>(.*?)</title>", text)[1].startswith("A &lt;b&gt;*mill*&lt;/b&gt; &amp; more")


def test_a_written_file_is_whole_or_not_there(story, tmp_path, monkeypatch):
    """What breaks while it is written leaves neither half a file nor a changed one."""
    out = tmp_path / "out" / "forum.md"
    out.parent.mkdir()
    out.write_text("the old one")

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(safe_files.os, "fsync", full)
    with pytest.raises(Refused, match="No space left"):
        saving.save(saving.Made("new", ()), out, story, over=True)
    assert {p.name: p.read_text() for p in out.parent.iterdir()} == {"forum.md": "the old one"}


def test_a_device_is_not_replaced_by_a_file(tmp_path):
    """A pipe named as the output stays a pipe."""
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(Refused, match="not a plain file"):
        saving.save(saving.Made("x", ()), tmp_path / "pipe", tmp_path / "journal.db")
    assert (tmp_path / "pipe").is_fifo()


def test_an_empty_revision_is_written_up(path, reader):
    """Every template copes with an r1 of which nothing is known."""
    assert BUILD in render(path, reader)


@pytest.mark.parametrize("reader", READERS)
def test_a_build_without_a_revision_is_written_up(path, reader):
    """When all were withdrawn."""
    with store.journal(path, write=True) as s:
        corrections.withdraw(s, "r1", "begun anew")
    assert BUILD in render(path, reader)


def test_a_private_note_of_a_reading_apart_is_told_as_left_out(path, run):
    """Also where it belongs to no attempt."""
    with store.journal(path, write=True) as s:
        measurements.log_measurement(
            s, measurements.MeasurementTyped("battery.voltage", "12 V", private_note="hide the key")
        )
    assert run("writeup", "--for", "forum").err == "Left out: private notes.\n"
