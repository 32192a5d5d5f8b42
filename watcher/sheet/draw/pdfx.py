"""Make a sheet a PDF/X-4 file for a press, with that press's colour profile. Plain sheets are plain PDF.

No full checker of the standard is available, so this covers the rules that tests/outside/test_pdfx.py checks.
Sources: ISO 15930-7 (from memory), ISO 32000-1 14.11.5 (output intents), 14.3 (metadata, document information), 8.6.5.6
(default colour spaces), the XMP specification part 1, and the lists named in that test.
"""

import hashlib
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.sax.saxutils import escape

from PIL import ImageCms
from pypdf import PdfWriter
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    NullObject,
    PdfObject,
    StreamObject,
    TextStringObject,
)

from watcher.art.formats.profile import SRGB
from watcher.records.plain_text import as_utf8
from watcher.settings.press_profile import Inks, PressProfile
from watcher.sheet.draw.image import add_profile

VERSION = "PDF/X-4"
CREATOR = "print-folder-watcher"
_REGISTRY = "http://www.color.org"
_CUSTOM = "Custom"
# How profiles name the printing conditions that the ICC keeps a register of: FOGRA39, CGATS TR 006.
_REGISTERED = (
    (re.compile(r"FOGRA\s?(\d\d)", re.IGNORECASE), "FOGRA{}"),
    (re.compile(r"\bTR\s?(\d{3})", re.IGNORECASE), "CGATS TR {}"),
)
_TAKEN_OUT = ("/TR", "/TR2", "/HTP", "/HT")  # transfer curves and halftones: the press has its own
_BASES = {"/Indexed": 1, "/Separation": 2, "/DeviceN": 2, "/Pattern": 1}  # where in such a space another one stands
_SPACE_KEYS = frozenset({"/ColorSpace", "/CS"})
_FONT_FILES = ("/FontFile", "/FontFile2", "/FontFile3")
# Grey of the middle: the white of the connection space and a plain curve (ISO 32000-1 8.6.5.2, our own choice).
_WHITE, _GAMMA = (0.9642, 1.0, 0.8249), 2.2


@dataclass(frozen=True, kw_only=True)
class Press:
    """The press a sheet is made for.

    Attributes:
        profile: its colour profile.
        title: the order's name, that of the first making.
        date: the day of the first making, ISO 8601.
    """

    profile: PressProfile
    title: str
    date: str


def add_pdfx(writer: PdfWriter, press: Press, digest: bytes, profiles: dict[bytes, IndirectObject]) -> None:
    """Add what PDF/X-4 requires to a file whose other objects are all there.

    Args:
        writer: the file.
        press: what it is for.
        digest: of all that is in the file, at least 16 bytes: what it is known by.
        profiles: colour profiles that are in the file already.
    """
    _cover_colours(writer, press.profile.inks, add_profile(writer, SRGB, Inks.RGB.value, profiles))
    writer.root_object[NameObject("/OutputIntents")] = ArrayObject(
        [writer._add_object(_intent(writer, press.profile, profiles))]
    )
    writer.root_object[NameObject("/Metadata")] = writer._add_object(_metadata(press, digest))
    title = shown_title(press.title)
    day = f"D:{press.date.replace('-', '')}000000Z"
    info = writer._info
    assert info is not None
    texts = {"/Title": title, "/Creator": CREATOR, "/CreationDate": day, "/ModDate": day}
    info.update({NameObject(key): TextStringObject(text) for key, text in texts.items()})
    info[NameObject("/GTS_PDFXVersion")] = TextStringObject(VERSION)
    info[NameObject("/Trapped")] = NameObject("/False")


def shown_title(title: str) -> str:
    """The title without characters that XML cannot hold, as metadata and document information both have it."""
    return "".join(letter if letter.isprintable() else " " for letter in as_utf8(title)).strip() or "sheets"


def _intent(writer: PdfWriter, profile: PressProfile, profiles: dict[bytes, IndirectObject]) -> DictionaryObject:
    name = _name_of(profile.data)
    condition = condition_of(name)
    intent = DictionaryObject(
        {
            NameObject("/Type"): NameObject("/OutputIntent"),
            NameObject("/S"): NameObject("/GTS_PDFX"),
            NameObject("/OutputConditionIdentifier"): TextStringObject(condition),
            NameObject("/Info"): TextStringObject(name),
            NameObject("/DestOutputProfile"): add_profile(writer, profile.data, profile.inks.value, profiles),
        }
    )
    if condition != _CUSTOM:
        intent[NameObject("/RegistryName")] = TextStringObject(_REGISTRY)
    return intent


def condition_of(name: str) -> str:
    """The name of the printing condition that a profile's name contains, as its registry spells it; else `Custom`."""
    for pattern, condition in _REGISTERED:
        if found := pattern.search(name):
            return condition.format(found[1])
    return _CUSTOM


def _name_of(icc: bytes) -> str:
    try:
        name = ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(icc)))
    except (OSError, ImageCms.PyCMSError):
        name = ""
    return "".join(letter for letter in name if letter.isprintable()).strip()[:100] or "profile without a name"


def _metadata(press: Press, digest: bytes) -> StreamObject:
    stream = StreamObject()
    stream.set_data(_xmp(press, digest).encode())
    stream.update({NameObject("/Type"): NameObject("/Metadata"), NameObject("/Subtype"): NameObject("/XML")})
    return stream


def _xmp(press: Press, digest: bytes) -> str:
    """The XMP packet; not compressed, so that any tool finds it."""
    instance = hashlib.sha256(b"instance" + digest).digest()
    moment, title = f"{press.date}T00:00:00Z", escape(shown_title(press.title))
    return f"""<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmp="http://ns.adobe.com/xap/1.0/"
 xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"
 xmlns:pdf="http://ns.adobe.com/pdf/1.3/"
 xmlns:pdfxid="http://www.npes.org/pdfx/ns/id/">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<xmp:CreateDate>{moment}</xmp:CreateDate>
<xmp:ModifyDate>{moment}</xmp:ModifyDate>
<xmp:MetadataDate>{moment}</xmp:MetadataDate>
<xmp:CreatorTool>{CREATOR}</xmp:CreatorTool>
<xmpMM:DocumentID>{_uuid(digest)}</xmpMM:DocumentID>
<xmpMM:InstanceID>{_uuid(instance)}</xmpMM:InstanceID>
<xmpMM:VersionID>1</xmpMM:VersionID>
<xmpMM:RenditionClass>default</xmpMM:RenditionClass>
<pdf:Producer>{CREATOR}</pdf:Producer>
<pdf:Trapped>False</pdf:Trapped>
<pdfxid:GTS_PDFXVersion>{VERSION}</pdfxid:GTS_PDFXVersion>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>"""


def _uuid(digest: bytes) -> str:
    text = digest[:16].hex()
    return f"uuid:{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"


# -- colours --------------------------------------------------------------------------------------------------------


def _cover_colours(writer: PdfWriter, inks: Inks, srgb: IndirectObject) -> None:
    """Define every device colour that the output intent does not define.

    RGB is taken as sRGB, and grey by its middle where the press prints in RGB. CMYK is the press's own.
    """
    spaces = {"/DeviceRGB": writer._add_object(ArrayObject([NameObject("/ICCBased"), srgb]))}
    if inks is Inks.RGB:
        spaces["/DeviceGray"] = writer._add_object(_plain_grey())
    _leave_out_loose_fonts(writer)
    masks = set(_mask_numbers(writer))
    for number, found in enumerate(list(writer._objects), start=1):
        if found is not None and number not in masks:
            _Cover(spaces).walk(found)


def _leave_out_loose_fonts(writer: PdfWriter) -> None:
    """Remove fonts that are named but not embedded. No text uses them, or the art would have been refused."""
    loose = [
        number
        for number, found in enumerate(writer._objects)
        if isinstance(found, DictionaryObject) and found.get("/Type") == "/Font" and _is_loose(found)
    ]
    for found in writer._objects:
        resources = found["/Resources"] if isinstance(found, DictionaryObject) and "/Resources" in found else None
        fonts = resources["/Font"] if isinstance(resources, DictionaryObject) and "/Font" in resources else None
        if isinstance(fonts, DictionaryObject):
            for name in [name for name, font in fonts.items() if _is_loose(font.get_object())]:
                del fonts[name]
    for number in loose:
        writer._objects[number] = None


def _is_loose(font: PdfObject | None) -> bool:
    """Whether a font, or the descendant of a composite font, is not embedded."""
    if not isinstance(font, DictionaryObject):
        return True
    if font.get("/Subtype") == "/Type3":  # its letters are drawings
        return False
    if font.get("/Subtype") == "/Type0":
        below = font["/DescendantFonts"] if "/DescendantFonts" in font else ArrayObject()
        return not isinstance(below, ArrayObject) or any(_is_loose(one.get_object()) for one in below)
    descriptor = font.get("/FontDescriptor", NullObject()).get_object()
    return not isinstance(descriptor, DictionaryObject) or not any(key in descriptor for key in _FONT_FILES)


class _Cover:
    """Replaces colour spaces in one object and what it holds directly; objects it refers to come in their turn."""

    def __init__(self, spaces: dict[str, IndirectObject]) -> None:
        self._spaces = spaces

    def walk(self, found: PdfObject) -> None:
        if isinstance(found, DictionaryObject):
            self._dictionary(found)
        elif isinstance(found, ArrayObject):
            self._array(found)
            for item in found:
                self.walk(item)

    def _dictionary(self, found: DictionaryObject) -> None:
        if "/G" not in found:  # a soft mask's own function stays
            for key in _TAKEN_OUT:
                found.pop(NameObject(key), None)
        if isinstance(found, StreamObject):
            _without_lzw(found)
        for key in list(found):
            if key in _SPACE_KEYS:
                self._replace(found, key)
            self.walk(found.raw_get(key))
        if "/Resources" in found:
            self._defaults(found)

    def _replace(self, found: DictionaryObject, key: str) -> None:
        value = found.raw_get(key)
        target = value.get_object()
        if isinstance(target, NameObject) and target in self._spaces:
            found[NameObject(key)] = self._spaces[target]
        elif isinstance(target, DictionaryObject):  # a table of named spaces
            for name in list(target):
                self._replace(target, name)

    def _array(self, found: ArrayObject) -> None:
        """The space on which an indexed, spot or pattern space rests."""
        at = _BASES.get(str(found[0])) if found else None
        if at is not None and at < len(found):
            base = found[at].get_object()
            if isinstance(base, NameObject) and base in self._spaces:
                found[at] = self._spaces[base]

    def _defaults(self, found: DictionaryObject) -> None:
        resources = found["/Resources"].get_object()
        if not isinstance(resources, DictionaryObject):
            return
        named = resources["/ColorSpace"].get_object() if "/ColorSpace" in resources else DictionaryObject()
        if isinstance(named, DictionaryObject):
            for device, space in self._spaces.items():
                named.setdefault(NameObject(device.replace("Device", "Default")), space)
            resources.setdefault(NameObject("/ColorSpace"), named)


def _plain_grey() -> ArrayObject:
    white = ArrayObject([FloatObject(value) for value in _WHITE])
    values = DictionaryObject({NameObject("/WhitePoint"): white, NameObject("/Gamma"): FloatObject(_GAMMA)})
    return ArrayObject([NameObject("/CalGray"), values])


def _mask_numbers(writer: PdfWriter) -> Iterator[int]:
    """Images that are another's soft mask: their space is grey by rule (ISO 32000-1 11.6.5.3)."""
    for found in writer._objects:
        mask = found.raw_get("/SMask") if isinstance(found, StreamObject) and "/SMask" in found else None
        if isinstance(mask, IndirectObject):
            yield mask.idnum


def _without_lzw(stream: StreamObject) -> None:
    """Compress a stream with Flate instead of LZW."""
    filters = stream.get("/Filter")
    names = filters if isinstance(filters, ArrayObject) else [filters]
    if "/LZWDecode" in names and all(name in ("/LZWDecode", "/ASCII85Decode", "/ASCIIHexDecode") for name in names):
        data = stream.get_data()
        for key in ("/Filter", "/DecodeParms"):
            stream.pop(NameObject(key), None)
        stream.set_data(data)
        packed = stream.flate_encode()
        stream.set_data(packed._data)
        stream[NameObject("/Filter")] = NameObject("/FlateDecode")
