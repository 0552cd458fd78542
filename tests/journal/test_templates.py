"""A template from a friend: it runs no program, reads no other file, and fills neither memory nor time."""

import os

import pytest

from journal.book import store
from journal.errors import BadInput
from journal.publish import bounds, writeup
from journal.publish import story as story_of

#: What reaches for more than it is given.
REACHING = [
    "{{ ''.__class__.__mro__ }}",
    "{{ cycler.__init__.__globals__.os.popen('id').read() }}",
    "{{ lipsum.__globals__['os'].popen('id').read() }}",
    "{{ '{0.__class__.__mro__}'.format(1) }}",
    "{{ (1).__class__ }}",
    "{{ story._fields }}{{ build._fields }}",
    "{{ build|attr('_fields') }}",
    "{{ picture.__self__ }}",
    "{{ photo.__func__.__globals__ }}",
    "{% include '../../../../etc/hostname' %}",
    "{% include '/etc/hostname' %}",
    "{% include 'link' %}",
    "{% include 'zero' %}",
    "{% import 'folder/x' as x %}",
    "{{ 'a'.encode().decode('unicode_escape') }}",
    "{{ ['a']|map(attribute='__class__')|first }}",
    "{{ ['a']|map('attr', '__class__')|first }}",
    "{{ self.__init__.__globals__ }}",
    "{{ namespace.__init__ }}",
    "{% set x = '{0.__class__}'.format %}{{ x(1) }}",
    "{{ config }}",
    "{{ joiner.__init__.__globals__ }}",
]
#: What would make something huge, or go on for ever.
HUGE = [
    "{{ 'x'|center(10**10) }}",
    "{{ '%1000000000d'|format(1) }}",
    "{{ '%1000000000d' % 1 }}",
    "{{ '%*d' % (10**9, 1) }}",
    "{{ '{:1000000000}'.format(1) }}",
    "{{ 'a'.rjust(10**9) }}",
    "{{ 'x'|indent(10**9) }}",
    "{{ 'a'.zfill(10**10) }}",
    "{{ 'x' * 10**10 }}",
    "{{ [0] * 10**10 }}",
    "{{ 10 ** (10 ** 10) }}",
    "{{ range(10**12)|list }}",
    "{{ lipsum(n=10**7) }}",
    "{{ ('x' * 10**7)|replace('x', 'y' * 10**7) }}",
    "{{ ([0] * 10**6)|join('y' * 10**6) }}",
    "{{ 'a'.join('b' * 9) }}",
    "{% set n = namespace(x='a' * 10**6) %}{% for i in range(99) %}{% set n.x = n.x ~ n.x %}{% endfor %}",
    "{% set n = namespace(x='a' * 10**6) %}{% for i in range(99) %}{% set n.x = n.x + n.x %}{% endfor %}",
    "{% set n = namespace(x=[0] * 10**6) %}{% for i in range(99) %}{% set n.x = n.x + n.x %}{% endfor %}",
    "{% set n = namespace(x='a' * 10**6) %}{% for i in range(99) %}{% set n.x %}{{ n.x * 2 }}{% endset %}{% endfor %}",
    "{% for i in range(299999) %}{{ 'a' * 1000 }}{% endfor %}",
    "{% macro a() %}{{ a() }}{% endmacro %}{{ a() }}",
    "{% include 'forum.md' %}",
    "{{ ['x']|map('center', 10**10)|list }}",
    "{% filter center(10**10) %}x{% endfilter %}",
    "{{ 'a'|tojson(indent=10**9) }}",
    "{{ [1]|slice(10**9)|list }}",
    "{{ '" + "9" * 5000 + "'|int }}{{ " + "9" * 5000 + " }}",
    "{{ " + "(" * 3000 + "1" + ")" * 3000 + " }}",
    "{{ " + "-" * 50_000 + "1 }}",
    "{{ 'x'.translate({120: 'y'}) }}",
    "{% for i in range(9999) recursive %}{{ loop(range(9999)) }}{% endfor %}",
]


@pytest.fixture(scope="module")
def tale(told):
    """The demo's."""
    with store.journal(told / "demo.db") as s:
        yield story_of.tell(s)


@pytest.fixture
def own(tmp_path):
    """A folder of templates with links to elsewhere in it."""
    (tmp_path / "own").mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "elsewhere" / "x").write_text("SECRET")
    os.symlink(tmp_path / "elsewhere" / "x", tmp_path / "own" / "link")
    os.symlink(tmp_path / "elsewhere", tmp_path / "own" / "folder")
    os.symlink("/dev/zero", tmp_path / "own" / "zero")
    return tmp_path / "own"


@pytest.mark.parametrize("source", REACHING)
def test_a_template_reaches_nothing(tale, own, source):
    """No program, no file, nothing behind what it is given; one line with its place."""
    (own / "forum.md").write_text(source)
    with pytest.raises(BadInput) as told_of:
        writeup.render(tale, "forum", "md", own)
    assert "SECRET" not in str(told_of.value)
    assert "\n" not in str(told_of.value)


@pytest.mark.parametrize("source", HUGE, ids=[s[:40] for s in HUGE])
def test_a_template_makes_nothing_huge(tale, own, source, monkeypatch):
    """It is stopped within a second or two, and told where."""
    monkeypatch.setattr(bounds, "PRINTED", 20_000_000)
    monkeypatch.setattr(bounds, "SECONDS", 5.0)
    (own / "forum.md").write_text(source)
    with pytest.raises(BadInput, match=r"forum.md, line 1: |A template in "):
        writeup.render(tale, "forum", "md", own)


def test_a_huge_template_is_not_read(tale, own):
    """Nor is one of ours replaced by it."""
    (own / "forum.md").write_text("x" * (bounds.SOURCE + 1))
    with pytest.raises(BadInput, match="is larger than any template"):
        writeup.render(tale, "forum", "md", own)


def test_memory_is_held_to_a_bound():
    """What nothing else stops; and the bound is gone afterwards."""
    resource = pytest.importorskip("resource")
    before = resource.getrlimit(resource.RLIMIT_AS)
    with pytest.raises(bounds.TooMuchError, match="memory"), bounds.in_memory():
        bytearray(2 * bounds.MEMORY)
    assert resource.getrlimit(resource.RLIMIT_AS) == before


PLAIN = [
    ("{{ 'a'|center(5) }}{{ 'x' * 3 }}{{ 'a' ~ 1 ~ 'b' }}{{ '%5.2f'|format(2) }}", "a xxxa1b 2.00"),
    ("{{ ['a', 'b']|join(', ') }}{{ 'aXb'|replace('X', '-') }}{{ 7 % 4 }}{{ [1] + [2] }}", "a, ba-b3\\[1, 2\\]"),
    ("{{ 'a b'.split()|last|upper }}{{ {'a': 1}.items()|first|last }}{{ 2 ** 3 }}", "B18"),
]


@pytest.mark.parametrize(("source", "made"), PLAIN)
def test_what_a_template_needs_it_can_do(tale, own, source, made):
    """Within bounds."""
    (own / "forum.md").write_text(source)
    assert " ".join(writeup.render(tale, "forum", "md", own).text.split()) == made
