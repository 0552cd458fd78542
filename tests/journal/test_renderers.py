"""What is pasted into a forum stays text there: hostile words in every field, through common renderers."""

import itertools
import re
from html.parser import HTMLParser

import bbcode
import commonmark
import linkify_it
import markdown
import markdown_it
import mistune
import pytest

from journal.book import store
from journal.publish import story as story_of
from journal.publish import writeup
from tests.cli.test_foreign_journal import hostile
from tests.conftest import copied

ATTACKS = [
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "[x](javascript:alert(1))",
    "![x](http://evil.invalid/a.png)",
    "<a href='javascript:alert(1)'>x</a>",
    "http://evil.invalid/auto",
    "www.evil.invalid",
    "evil.com",
    "<http://evil.invalid>",
    "a@evil.invalid",
    "[x][evil]",
    "\n\n[evil]: http://evil.invalid 'x'\n\n",
    "![x][evil]",
    "[evil]",
    "\n\n    <b>code</b>\n\n```\n<i>\n```\n",
    "\n\n<div onclick=alert(1)>\n\n</div>\n",
    "<!-- x -->",
    "<svg/onload=alert(1)>",
    "](javascript:alert(1))",
    "`</code><script>x</script>`",
    "\\<script>\\</script>",
    "&lt;script&gt;",
    "&#60;script&#62;",
    "[x](data:text/html;base64,PHNjcmlwdD4=)",
    "[x](<javascript:alert(1)>)",
    "| a | <b>b</b> |\n|---|---|\n",
    "\n# h <i>\n",
    "\n> <u>q</u>\n",
    "\n- [ ] <s>t</s>\n",
    "\n---\n",
    "\n===\n",
    "ftp://evil.invalid/x",
    "https://evil.invalid/?a=b&c=d",
    "mailto:a@evil.invalid",
    "[^1]\n\n[^1]: <b>note</b> http://evil.invalid\n",
    "~~x~~ ==y== $z$ :smile: @user #1",
    "{{ 7*7 }} {% x %} ${7*7} <%= 7*7 %>",
    "javascript:alert(1)",
    '![](x"onerror="alert(1))',
    "GALEBOOKINLAY0",
    "<\x00script>",
    "*[evil]: http://evil.invalid",
    "[url=http://evil.invalid]x[/url]",
    "[url]javascript:alert(1)[/url]",
    "[img]http://evil.invalid/x.png[/img]",
    "[/code][/list][/quote][color=red]x[/color]",
    "[ s ]x[ /s ]",
    "[code][center]x[/center]",
]


def board(text):
    """What a board makes of BBCode, and of what it takes for a link besides."""
    parser = bbcode.Parser(replace_links=True)
    parser.add_simple_formatter("img", '<img src="%(value)s">', replace_links=False)
    parser.add_simple_formatter("size", "<strong>%(value)s</strong>")
    parser.add_simple_formatter("u", "<em>%(value)s</em>")
    return parser.format(text) + linked(text)


def linked(text):
    """What a box for plain text makes of it: links of what looks like one."""
    return "".join(f'<a href="{m.url}">' for m in linkify_it.LinkifyIt().match(text) or [])


RENDERERS = {
    "markdown": lambda t: markdown.markdown(t, extensions=["extra", "sane_lists"]),
    "markdown-it": lambda t: markdown_it.MarkdownIt("commonmark", {"html": True}).enable("table").render(t),
    "markdown-it with links": lambda t: markdown_it.MarkdownIt("gfm-like", {"html": True, "linkify": True}).render(t),
    "mistune": lambda t: mistune.create_markdown(
        escape=False, plugins=["table", "strikethrough", "footnotes", "url", "task_lists"]
    )(t),
    "commonmark": commonmark.commonmark,
    "bbcode": board,
    "plain text": linked,
}
#: In which form a page is given to each; the others read Markdown.
FORMS = {"bbcode": "bbcode", "plain text": "text"}


class Live(HTMLParser):
    """Gathers whatever does something in a page."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.found = []

    def handle_starttag(self, tag, attrs):
        """A tag that is none of ours, or has more than it needs."""
        allowed = {
            "h1",
            "h2",
            "h3",
            "h4",
            "p",
            "ul",
            "ol",
            "li",
            "table",
            "thead",
            "tbody",
            "tr",
            "th",
            "td",
            "em",
            "strong",
            "code",
            "pre",
            "blockquote",
            "hr",
            "br",
        }
        named = dict(attrs)
        if tag == "img":
            if not re.fullmatch(r"pictures/[\w-]+\.(?:png|jpg)", named.get("src") or "") or set(named) - {"src", "alt"}:
                self.found.append((tag, attrs))
        elif tag not in allowed or set(named) - {"start", "style", "align"}:
            self.found.append((tag, attrs))

    def handle_comment(self, data):
        """None is ours."""
        self.found.append(("comment", data))

    def handle_decl(self, decl):
        """None is ours."""
        self.found.append(("declaration", decl))

    def handle_pi(self, data):
        """None is ours."""
        self.found.append(("instruction", data))


def turned(first):
    """All attacks in one text, each time with the next in front."""
    turn = itertools.count(first)

    def text():
        at = next(turn) % len(ATTACKS)
        return "\n".join(ATTACKS[at:] + ATTACKS[:at])

    return text


@pytest.fixture(scope="module")
def pages(told, tmp_path_factory):
    """The write-ups of a journal with all of it in every text; what is in front in one is not so in the next."""
    folder = tmp_path_factory.mktemp("live")
    copied(told, folder)
    return written(folder / "demo.db", 0)


def written(journal, first):
    """The write-ups of a journal for every reader, with attacks in every text."""
    hostile(journal, turned(first), ("place", "builder", "contact", "serial", "private_note"))
    with store.journal(journal) as s:
        tale = story_of.tell(s)
    pages = {}
    for reader in ("forum", "neighbour", "workshop"):
        pages[reader, "markdown"] = writeup.render(tale, reader, "md", folder="pictures").text
        for made in writeup.posts(tale, reader, ["bbcode", "text"], writeup.Posting()):
            pages[reader, made.form] = made.text
    return pages


@pytest.mark.parametrize("renderer", RENDERERS)
def test_nothing_becomes_live(pages, renderer):
    """No script, handler, link, foreign picture or tag that the page did not make itself."""
    held(pages, renderer)


def held(pages, renderer):
    """Hold that nothing of the pages does something."""
    form = FORMS.get(renderer, "markdown")
    for reader, text in ((reader, text) for (reader, of), text in pages.items() if of == form):
        live = Live()
        live.feed(RENDERERS[renderer](text))
        live.close()
        assert live.found[:5] == [], (reader, renderer)


def test_an_attack_would_be_seen():
    """Each renderer makes something of most of them, so that the test above can fail."""
    for name, renderer in RENDERERS.items():
        seen = 0
        for attack in ATTACKS:
            live = Live()
            live.feed(renderer(f"x {attack}\n\n[evil]: http://evil.invalid\n"))
            seen += bool(live.found)
        assert seen > (9 if name in FORMS else 12), (name, seen)


def test_a_board_is_given_no_tag_but_ours(pages):
    """Not even one that does no harm: every square bracket is one that the form itself wrote."""
    ours = re.compile(r"\[/?(?:b|i|u|code|list|quote)\]|\[list=1\]|\[\*\]|\[size=1[35]0\]|\[/size\]")
    for (_, form), text in pages.items():
        if form == "bbcode":
            assert not re.search(r"[\[\]]", ours.sub("", text))
            for tag in ("b", "i", "u", "code", "list", "quote", "size"):
                assert len(re.findall(rf"\[{tag}[\]=]", text)) == text.count(f"[/{tag}]")
