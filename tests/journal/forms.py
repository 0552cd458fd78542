"""What the tests of the open form share."""

import shutil

from journal.book import store
from journal.book.open_form import placing, taking_in, writing
from journal.book.records import current_build
from journal.book.safe_files import OwnFiles


def exported(journal, target, *, build=None, over=False):
    """Export a journal to a folder or a zip; where it went."""
    with store.journal(journal, build=build) as s:
        made = writing.files_of(s, current_build(s) if build else None)
        place = placing.to_zip if target.suffix == ".zip" else placing.to_folder
        place(OwnFiles(journal), target, made.files, over=over)
    return target


def tree(folder):
    """Every file of a folder with its bytes."""
    return {str(f.relative_to(folder)): f.read_bytes() for f in sorted(folder.rglob("*")) if f.is_file()}


def there_and_back(journal, folder):
    """Export, import into a new journal, export again: both exports, and the journal between."""
    first = exported(journal, folder / "first")
    new = folder / "new" / "journal.db"
    taking_in.take_in(new, first)
    return tree(first), tree(exported(new, folder / "second")), new


def copy_of(folder, target):
    """A copy of an export, to be changed."""
    return shutil.copytree(folder, target)
