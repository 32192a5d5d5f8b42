"""Which layers of a PDF are switched off. Source: ISO 32000-1 8.11.4.3."""

from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject, PdfObject


def hidden_layers(file: PdfReader | PdfWriter) -> frozenset[int]:
    """Object numbers of the layers that are off when the file is opened."""
    properties = _entry(file.root_object, "/OCProperties")
    shown = _entry(properties, "/D")
    if not isinstance(properties, DictionaryObject) or not isinstance(shown, DictionaryObject):
        return frozenset()
    off = set(_numbers(_entry(shown, "/OFF")))
    if str(_entry(shown, "/BaseState")) == "/OFF":
        off |= set(_numbers(_entry(properties, "/OCGs"))) - set(_numbers(_entry(shown, "/ON")))
    return frozenset(off)


def _numbers(layers: PdfObject | None) -> list[int]:
    if not isinstance(layers, ArrayObject):
        return []
    return [layer.idnum for layer in layers if isinstance(layer, IndirectObject)]


def _entry(source: PdfObject | None, key: str) -> PdfObject | None:
    value = source.raw_get(key) if isinstance(source, DictionaryObject) and key in source else None
    return value.get_object() if value is not None else None
