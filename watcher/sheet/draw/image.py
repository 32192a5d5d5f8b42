"""Write an image stream as a PDF object: the file's own compressed data with its image dictionary.

Source: ISO 32000-1 8.9.5 (image dictionaries), 8.6.5.5 (ICCBased), 8.6.6.3 (Indexed), 7.4.4.4 (predictors).
"""

from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    ByteStringObject,
    DictionaryObject,
    IndirectObject,
    NameObject,
    NumberObject,
    PdfObject,
    StreamObject,
)

from watcher.art.model import ImageStream

_DEVICE_SPACE = {1: "/DeviceGray", 3: "/DeviceRGB", 4: "/DeviceCMYK"}


def add_image(
    writer: PdfWriter, stream: ImageStream, profiles: dict[bytes, IndirectObject] | None = None
) -> IndirectObject:
    """Add an image to the file and return its reference.

    Args:
        writer: the file.
        stream: the image.
        profiles: colour profiles that are in the file already; a new one is noted there.
    """
    image = StreamObject()
    image.set_data(stream.data)
    image.update(
        {
            NameObject("/Type"): NameObject("/XObject"),
            NameObject("/Subtype"): NameObject("/Image"),
            NameObject("/Width"): NumberObject(stream.width_px),
            NameObject("/Height"): NumberObject(stream.height_px),
            NameObject("/BitsPerComponent"): NumberObject(stream.bits),
            NameObject("/ColorSpace"): _colour_space(writer, stream, {} if profiles is None else profiles),
            NameObject("/Filter"): NameObject(stream.filter),
        }
    )
    if stream.predictor is not None:
        image[NameObject("/DecodeParms")] = _row_filter(stream, stream.predictor)
    if stream.inverted:
        image[NameObject("/Decode")] = ArrayObject([NumberObject(1), NumberObject(0)] * stream.colours)
    return writer._add_object(image)


def _row_filter(stream: ImageStream, predictor: int) -> DictionaryObject:
    return DictionaryObject(
        {
            NameObject("/Predictor"): NumberObject(predictor),
            NameObject("/Colors"): NumberObject(stream.colours),
            NameObject("/BitsPerComponent"): NumberObject(stream.bits),
            NameObject("/Columns"): NumberObject(stream.width_px),
        }
    )


def _colour_space(writer: PdfWriter, stream: ImageStream, profiles: dict[bytes, IndirectObject]) -> PdfObject:
    if stream.palette is None:
        return _base_space(writer, stream.icc, stream.colours, profiles)
    last = NumberObject(len(stream.palette) // 3 - 1)
    base = _base_space(writer, stream.icc, 3, profiles)
    return ArrayObject([NameObject("/Indexed"), base, last, ByteStringObject(stream.palette)])


def _base_space(writer: PdfWriter, icc: bytes | None, colours: int, profiles: dict[bytes, IndirectObject]) -> PdfObject:
    device = NameObject(_DEVICE_SPACE[colours])
    if icc is None:
        return device
    return ArrayObject([NameObject("/ICCBased"), add_profile(writer, icc, colours, profiles)])


def add_profile(writer: PdfWriter, icc: bytes, colours: int, profiles: dict[bytes, IndirectObject]) -> IndirectObject:
    """Add a colour profile to the file, once, and return its reference.

    Args:
        writer: the file.
        icc: the profile.
        colours: how many it is for.
        profiles: those that are in the file already; a new one is noted there.
    """
    if icc not in profiles:
        profile = StreamObject()
        profile.set_data(icc)
        device = NameObject(_DEVICE_SPACE[colours])
        profile.update({NameObject("/N"): NumberObject(colours), NameObject("/Alternate"): device})
        profiles[icc] = writer._add_object(profile.flate_encode())
    return profiles[icc]
