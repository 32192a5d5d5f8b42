"""What a ZIP's end record says, and when a job ticket is there; PDFs and cut files: `test_complete`."""

import io
import zipfile

import pytest

from watcher.inbox.document_ends import toml_ends, zip_directory, zip_ends


def _zip(entries: int, comment: bytes = b"") -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for number in range(entries):
            archive.writestr(f"{number}.png", b"x")
        archive.comment = comment
    return packed.getvalue()


@pytest.mark.parametrize("comment", [b"", b"made by a shop", b"x" * 60_000])
def test_the_directory_of_a_zip_is_found_behind_any_comment(comment):
    data = _zip(3, comment)
    found = zip_directory(io.BytesIO(data), len(data))
    assert found is not None
    assert found.entries == 3
    assert zip_ends(io.BytesIO(data), len(data))


def test_a_zip_cut_short_has_none():
    data = _zip(3)[:-5]
    assert zip_directory(io.BytesIO(data), len(data)) is None
    assert not zip_ends(io.BytesIO(data), len(data))


@pytest.mark.parametrize(("text", "ends"), [(b"quantity = 5\n", True), (b"quantity = \0\0", False)])
def test_a_ticket_holds_no_zeros(text, ends):
    assert toml_ends(io.BytesIO(text), len(text)) is ends
