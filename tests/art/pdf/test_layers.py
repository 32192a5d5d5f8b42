"""Which layers of a PDF are switched off."""

import io

import pikepdf
import pytest
from pypdf import PdfReader

from watcher.art.pdf.layers import hidden_layers


@pytest.fixture
def reader():
    """A PDF with layers of these names, those in `off` and `on` listed as such."""

    def make(names, *, off=(), on=(), base=None):
        pdf = pikepdf.new()
        pdf.add_blank_page()
        layers = {n: pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=n)) for n in names}
        shown = pikepdf.Dictionary(OFF=[layers[n] for n in off], ON=[layers[n] for n in on])
        if base:
            shown.BaseState = pikepdf.Name(base)
        pdf.Root.OCProperties = pikepdf.Dictionary(OCGs=list(layers.values()), D=shown)
        packed = io.BytesIO()
        pdf.save(packed)
        found = PdfReader(packed)
        numbers = {ocg.get_object()["/Name"]: ocg.idnum for ocg in found.root_object["/OCProperties"]["/OCGs"]}
        return found, numbers

    return make


def test_layers_listed_as_off_are_hidden(reader):
    file, numbers = reader(["art", "die line"], off=["die line"])
    assert hidden_layers(file) == {numbers["die line"]}


def test_where_all_are_off_those_listed_as_on_are_shown(reader):
    file, numbers = reader(["art", "notes", "die line"], on=["art"], base="/OFF")
    assert hidden_layers(file) == {numbers["notes"], numbers["die line"]}


def test_a_file_without_layers_hides_none(pdf_of):
    assert hidden_layers(PdfReader(io.BytesIO(pdf_of()))) == frozenset()
