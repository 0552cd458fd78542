"""What is pasted somewhere: every word, table and picture of the page is there in each form, in order.

Markdown is read by markdown-it, BBCode by the library ``bbcode``, as boards would; plain text by nobody.
"""

import re
from functools import cache
from html.parser import HTMLParser

import bbcode
import markdown_it
import pytest

from journal.book import store
from journal.errors import BadInput, Refused
from journal.publish import forms, gate, writeup
from journal.publish import story as story_of
from journal.publish.forms import columns, nodes
from journal.publish.forms.parts import size
from journal.publish.readers import READERS
from journal.publish.scrub import Scrub
from tests.conftest import pin

POSTED = ("markdown", "bbcode", "text")
LIMITS = (17_000, 30_000, 60_000)


@pytest.fixture(scope="module")
def posts(told):
    """The demo as it is pasted: ``posts("forum", 30_000)["bbcode"]``; what was asked for last is kept."""
    with pytest.MonkeyPatch.context() as patch:
        pin(patch)
        with store.journal(told / "demo.db") as s:
            tale = story_of.tell(s)

            @cache
            def made(reader, limit=None):
                found = writeup.posts(tale, reader, POSTED, writeup.Posting(limit=limit, extra=frozenset({"appendix"})))
                return {page.form: page for page in found}

            yield made


class Words(HTMLParser):
    """The words of a page, and its tables."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.text = ""
        self.rows = 0

    def handle_starttag(self, tag, attrs):
        """A new block begins a new word; a row is counted."""
        self.text += "" if tag in ("strong", "em", "u", "a") else " "
        self.rows += tag == "tr"

    def handle_data(self, data):
        """Text."""
        self.text += data


def board(text):
    """What a board makes of BBCode."""
    parser = bbcode.Parser(replace_links=True)
    parser.add_simple_formatter("size", "<big>%(value)s</big>")
    return parser.format(text)


def read(text, form):
    """The words that are read in a text of some form, one after another."""
    if form != "text":
        reader = Words()
        reader.feed(board(text) if form == "bbcode" else markdown(text))
        # The library prints a c in brackets as the sign that it may stand for.
        text = reader.text.replace("©", " c ")
    return re.findall(r"\w+", text)


def markdown(text):
    """What a board makes of Markdown."""
    return markdown_it.MarkdownIt("commonmark").enable("table").render(text)


def in_order(wanted, found):
    """Of what is wanted, what is not found in that order."""
    rest = iter(found)
    return next((" ".join(wanted[max(0, at - 5) : at + 1]) for at, word in enumerate(wanted) if word not in rest), None)


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("form", POSTED)
def test_every_word_is_there_in_order(posts, reader, form):
    """What is more than that is the heads of tables, said again in each row where there is no room for columns."""
    page = posts(reader)
    wanted, found = read(page["markdown"].text, "markdown"), read(page[form].text, form)
    assert in_order(wanted, found) is None
    assert len(found) < 1.1 * len(wanted)


def test_a_word_that_is_lost_would_be_seen(posts):
    """And one that stands elsewhere."""
    words = read(posts("storm")["markdown"].text, "markdown")
    assert in_order(words, words[:50] + words[51:]) is not None
    assert in_order(words, [words[1], words[0], *words[2:]]) is not None


@pytest.mark.parametrize("limit", LIMITS)
@pytest.mark.parametrize("form", POSTED)
def test_parts_are_short_enough_and_give_the_whole(posts, form, limit):
    """Each begins with the title and which part it is, and the later ones with what came before."""
    whole, split = posts("forum")[form], posts("forum", limit)[form]
    assert len(split.parts) > 1
    bodies = []
    for number, part in enumerate(split.parts, 1):
        # A board counts a line end as two.
        assert len(part.replace("\n", "\r\n")) <= limit
        head, body = part.split("\n\n", 1)
        assert f"Shed wind generator: the first threw a blade … (part {number} of {len(split.parts)})" in head
        if number > 1:
            before, body = body.split("\n\n", 1)
            assert re.match(r"[*[i\]]*Before this: ", before)
        bodies.append(body)
    joined = read("\n\n".join(bodies), form)
    title = "Shed wind generator: the first threw a blade, the second gives 250 W in 9.5 m/s (logger)"
    assert joined == read(whole.text, form)[len(read(title, "text")) :]


def test_parts_of_markdown_are_its_very_lines(posts):
    """Nothing is written anew."""
    whole, split = posts("forum")["markdown"].text, posts("forum", 30_000)["markdown"].parts
    bodies = [part.split("\n\n", 1 if not at else 2)[-1] for at, part in enumerate(split)]
    assert [line for b in bodies for line in b.splitlines() if line] == [x for x in whole.splitlines()[1:] if x]


@pytest.mark.parametrize("limit", LIMITS)
def test_no_part_ends_with_a_heading_or_cuts_a_table(posts, limit):
    """A board would show half a table as a table without a head."""
    page = posts("forum", limit)["markdown"]
    counted = []
    for text in (posts("forum")["markdown"].text, *page.parts):
        reader = Words()
        reader.feed(markdown(text))
        counted.append(reader.rows)
        assert not text.rstrip().splitlines()[-1].startswith("#")
    assert counted[0] == sum(counted[1:]) > 20


def test_chapters_stay_whole_where_they_can(posts):
    """A later part begins with a chapter, or goes on with one that is too long for any."""
    chapters = "# T\n\nIntro.\n\n" + "\n\n".join(f"## C{n}\n\n{'word ' * 150}" for n in range(6))
    made = forms.posted(chapters, "markdown", 2000)
    assert [re.findall(r"^## (C\d)", part, re.MULTILINE) for part in made] == [["C0", "C1"], ["C2", "C3"], ["C4", "C5"]]
    assert "*Before this: “C0”, “C1”.*" in made[1]
    assert "*Before this: 1 more chapter, “C1”, “C2”, “C3”.*" in made[2]


def test_a_long_chapter_is_cut_below(posts):
    """At its sub-chapters, then between paragraphs and items; a list that goes on keeps its numbers."""
    long = "# T\n\n## A\n\n" + "\n\n".join(f"### S{n}\n\n{'word ' * 170}" for n in range(3))
    made = forms.posted(long, "markdown", 2000)
    assert [re.findall(r"^### (S\d)", part, re.MULTILINE) for part in made] == [["S0", "S1"], ["S2"]]
    assert "This part goes on with “A”." in made[1]
    numbered = "# T\n\n## A\n\nSeen:\n\n" + "\n".join(f"{n}. {'word ' * 90}" for n in range(1, 8))
    for form in POSTED:
        made = forms.posted(numbered, form, 2000)
        assert len(made) == 2
        assert "Seen:" in made[0]
        counted = [int(n) for part in made for n in re.findall(r"(\d)\. word", part)]
        # A board numbers a list that begins with 1 by itself.
        assert counted == ([5, 6, 7] if form == "bbcode" else [1, 2, 3, 4, 5, 6, 7])


@pytest.mark.parametrize("form", POSTED)
def test_what_is_never_cut_is_told_with_the_limit_that_would_do(form):
    """A table alone longer than the limit."""
    table = "# T\n\n| a | b |\n|---|---|\n" + "\n".join(f"| {n} | {'word ' * 30}|" for n in range(40))
    with pytest.raises(BadInput, match=r"--limit 2000 is too little: a table of \d+ characters is never cut") as told:
        forms.posted(table, form, 2000)
    enough = int(re.search(r"Give --limit (\d+)", str(told.value))[1])
    assert all(size(part) <= enough for part in forms.posted(table, form, enough))


def test_pictures_are_numbered_and_named_where_they_stand(posts):
    """In the order of the page, once each, in every form and part."""
    for limit in (None, 30_000):
        for form, page in posts("forum", limit).items():
            texts = page.parts or (page.text,)
            assert [p.number for p in page.pictures] == list(range(1, len(page.pictures) + 1))
            assert list(page.files) == [p.name for p in page.pictures]
            named = [(at if page.parts else 0, m[1]) for at, t in enumerate(texts, 1) for m in _PLACE.finditer(t)]
            assert named == [(p.part, p.name) for p in page.pictures], (form, limit)
            assert form == "bbcode" or "](" not in page.text
    assert [p.name[3:] for p in page.pictures][:2] == ["chain-F3.png", "chain-F1.png"]


_PLACE = re.compile(r"\(Picture \d+: ([\w.-]+)\)")


def test_plain_text_has_no_markup_left(posts):
    """Lines of mail, headings underlined, columns."""
    for reader in READERS:
        text = posts(reader)["text"].text
        lines = text.splitlines()
        assert max(map(len, lines)) <= text_width(lines)
        assert not re.search(r"\*\*|^#|^\||&\w+;|\]\(|\\[*_\[]", text, re.MULTILINE)
        title = lines[: lines.index("")]
        assert set(title[-1]) == {"="}
        assert len(title[-1]) == max(map(len, title[:-1]))


def text_width(lines):
    """What a line may have: more only where one word has."""
    return max(72, *(len(word) + 4 for line in lines for word in line.split()))


def test_a_table_is_in_columns_or_a_list_by_its_width():
    """One that fits is aligned; one that does not says the heads in each row."""
    rows = [["what", "r1", "r2"], ["Diameter", "1.3 m", "2.2 m"], ["A name that is rather long", "4.5 m", "8 m"]]
    assert columns.aligned(rows, 60) == [
        "what                        r1     r2",
        "--------------------------  -----  -----",
        "Diameter                    1.3 m  2.2 m",
        "A name that is rather long  4.5 m  8 m",
    ]
    assert columns.aligned(rows, 30)[-2:] == ["A name that is", "  rather long     4.5 m  8 m"]
    assert columns.aligned(rows, 20) is None
    assert columns.listed(rows)[1][0] == "Diameter: r1 1.3 m; r2 2.2 m"
    table = "\n".join(f"| {' | '.join(row)} |" for row in [rows[0], ["---"] * 3, *rows[1:]])
    assert forms.posted(table, "bbcode", None)[0].startswith("[code]\nwhat ")
    wide = table.replace("2.2 m", "word " * 60)
    assert "[*]Diameter: r1 1.3 m; r2 word" in forms.posted(wide, "bbcode", None)[0]


def test_columns_are_aligned_on_the_page(posts):
    """In a block of code at most 60 wide, where a phone shows them."""
    text = posts("raising")["bbcode"].text
    tables = re.findall(r"\[code\]\n(.*?)\n\[/code\]", text, re.DOTALL)
    assert tables
    assert all(len(line) <= 60 for table in tables for line in table.split("\n"))
    assert len({line.index("____") for line in tables[-1].split("\n") if "____" in line}) == 1


@pytest.mark.parametrize(
    ("source", "bb", "plain"),
    [
        ("**a** *b*", "[b]a[/b] [i]b[/i]", "a b"),
        ("# A\n\n#### B", "[b][size=150]A[/size][/b]\n\n[b]B[/b]", "A\n=\n\nB\n."),
        ("- a\n- b", "[list]\n[*]a\n[*]b\n[/list]", "- a\n- b"),
        ("1. a\n2. b", "[list=1]\n[*]a\n[*]b\n[/list]", "1. a\n2. b"),
        ("3. a\n4. b", "[list]\n[*]3. a\n[*]4. b\n[/list]", "3. a\n4. b"),
        ("> a", "[quote]a[/quote]", "    a"),
        ("    a [ b ]", "[code]\na ( b )\n[/code]", "a [ b ]"),
        ("[x](https://example.org/a)", "[url=https://example.org/a]x[/url]", "x (https://example.org/a)"),
        (
            "[x](ftp://example.org) [y](<https://a.org/]b>)",
            "x [url=https://a.org/%5Db]y[/url]",
            "x y (https://a.org/%5Db)",
        ),
        ("a  \nb\nc", "a\nb c", "a\nb c"),
        ("<b>a</b> c<br>d\n\n<div>e</div>\n\n<script>f</script>", "a c\nd\n\ne", "a c\nd\n\ne"),
        ("a\n\n---\n\nb", f"a\n\n{'-' * 20}\n\nb", f"a\n\n{'-' * 20}\n\nb"),
    ],
)
def test_what_becomes_of_markdown(source, bb, plain):
    """Also of what only a template of the reader's own has."""
    assert forms.posted(source, "bbcode", None) == [bb + "\n"]
    assert forms.posted(source, "text", None) == [plain + "\n"]
    assert nodes.pieces(nodes.parse(source))


@pytest.mark.parametrize(
    ("part", "piece", "private"),
    [
        ("all about Hollow Lane 7.", "", True),
        ("[b]x[/b]", "Hollow Lane 7", True),
        ("Lane  7", "a lane", False),
        ("at Hollow  Lane 7", "a lane", False),
    ],
)
def test_the_last_look_is_at_what_is_pasted(part, piece, private):
    """At its lines as they are, cell by cell, and at what is read in it before it was broken into lines."""
    scrub = Scrub({"place": ["Hollow Lane 7"]})
    if not private:
        gate.post([part], [piece], scrub)
        return
    with pytest.raises(Refused, match="would stand in"):
        gate.post([part], [piece], scrub)


def test_no_form_goes_out_without_that_look(posts, told, monkeypatch):
    """Each that is asked for is looked at, in all its parts, and so is what is read in it."""
    seen = []
    monkeypatch.setattr(gate, "post", lambda parts, read, scrub: seen.append((list(parts), list(read))))
    with store.journal(told / "demo.db") as s:
        made = writeup.posts(story_of.tell(s), "storm", ["markdown", "text", "bbcode"], writeup.Posting(limit=1000))
    assert [parts for parts, _ in seen] == [list(page.parts) for page in made]
    assert all("Brake" in " ".join(read) for _, read in seen)
