"""The table of what the files of a finished order are for."""

import pytest

from watcher.archive.folder_words import sheet_kind
from watcher.instructions.card_picture import CARD_SUFFIX
from watcher.instructions.label import LABEL_SUFFIX
from watcher.status.model import ProductKind


@pytest.mark.parametrize("kind", [ProductKind.SHEETS, ProductKind.FRONTS, ProductKind.BACKS])
def test_sheets_have_the_names_that_printing_knows_them_by(kind):
    assert sheet_kind("lantern", f"lantern{kind.suffix}") == (0, kind.suffix.removeprefix("_").removesuffix(".pdf"))


def test_pictures_and_labels_have_the_names_that_their_makers_give_them():
    assert (ProductKind.CARD.suffix, ProductKind.LABEL.suffix) == (CARD_SUFFIX, LABEL_SUFFIX)


def test_what_no_person_opens_has_no_words_for_a_link():
    """The instructions show the preview, and the ticket is for machines."""
    assert [kind for kind in ProductKind if not kind.words] == [ProductKind.PREVIEW, ProductKind.TICKET]
