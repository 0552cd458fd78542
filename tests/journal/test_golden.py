"""The write-ups of the demo, word for word, as somebody has read and approved them."""

import difflib
from pathlib import Path

import pytest

from journal.publish.readers import READERS

GOLDEN = Path(__file__).parent.parent / "golden"


@pytest.mark.parametrize("reader", READERS)
def test_the_demo_reads_as_approved(told, reader, request):
    """Whoever changes a text reads it here; pytest --write-golden takes the new one over."""
    text = (told / f"{reader}.md").read_text(encoding="utf-8")
    path = GOLDEN / f"{reader}.md"
    if request.config.getoption("--write-golden"):
        path.write_text(text, encoding="utf-8")
    approved = path.read_text(encoding="utf-8")
    changed = list(difflib.unified_diff(approved.splitlines(), text.splitlines(), "approved", "now", n=0))
    assert not changed, "\n".join(changed)
