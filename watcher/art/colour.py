"""Convert pictures to the inks of a press with littleCMS, and tell what of an order's art cannot go to one.

Relative colorimetric with black point compensation: white stays paper, and the darkest tone becomes the darkest that
the press prints. Grey pictures stay grey, which is printed in black alone. Only pictures are converted; the colours of
a PDF page are left to the press.
"""

import io
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

import numpy as np
from PIL import Image, ImageCms

from watcher.art.encode import encode_rows
from watcher.art.formats.profile import SRGB
from watcher.art.model import CardFace, ImageStream, Raster, VectorPage
from watcher.art.stored_pixels import stored_picture
from watcher.errors import OrderHeld
from watcher.records.plain_text import one_line
from watcher.settings.press_profile import Inks, PressProfile
from watcher.settings.printer import PrinterSettings
from watcher.terms import Finding, Level
from watcher.units import show_mm

_MODES = {Inks.GREY: "L", Inks.RGB: "RGB", Inks.CMYK: "CMYK"}
_TINY_SHARE = 0.001  # as in `checks.colour`: so little of full ink does no harm


def made_for_press(
    faces: Sequence[CardFace], press: PressProfile, printer: PrinterSettings
) -> tuple[tuple[CardFace, ...], tuple[Finding, ...]]:
    """Convert an order's faces to the inks of a press; return them and the findings.

    Args:
        faces: ready for a sheet.
        press: the colour profile of the press.
        printer: its settings: whether pictures are converted, and how much ink it takes.

    Raises:
        OrderHeld: littleCMS cannot use the profile.
    """
    said = [finding for face in faces for finding in press_findings(face, press)]
    made = []
    for face in faces:
        changed, words = converted(face, press, printer.ink_limit) if printer.convert else (for_press(face, press), ())
        made.append(changed)
        said += words
    return tuple(made), tuple(said)


def press_findings(face: CardFace, press: PressProfile) -> Iterable[Finding]:
    """Find what of a face cannot be printed by a press with this profile, whatever the person says.

    A press sheet (PDF/X-4) carries all its typefaces, and every colour in it has a meaning: CMYK without a profile has
    one only where the press prints in CMYK.
    """
    content = face.art.content
    if isinstance(content, VectorPage) and content.facts.loose_fonts:
        fonts = ", ".join(one_line(font) for font in content.facts.loose_fonts[:3])
        said = (
            f"{face.art.file} uses typefaces that are not in the file ({fonts}); a press sheet must carry them all. "
            "Export it with its fonts embedded, or as a picture (PNG)."
        )
        yield Finding(level=Level.REFUSE, code="press-needs-fonts", message=said, side=face.art.side)
    if press.inks is not Inks.CMYK and _is_loose_cmyk(content):
        said = (
            f"{face.art.file} has colours in CMYK that no profile explains, but the colour profile of this press is "
            f"for {'grey' if press.inks is Inks.GREY else 'RGB'}. Export it as RGB."
        )
        yield Finding(level=Level.REFUSE, code="press-needs-rgb", message=said, side=face.art.side)


def _is_loose_cmyk(content: Raster | VectorPage) -> bool:
    if isinstance(content, VectorPage):
        return "CMYK" in content.facts.inks
    return content.stream.colours == 4 and content.stream.icc is None


def for_press(face: CardFace, press: PressProfile) -> CardFace:
    """The face with its CMYK told in the press's own terms: a profile that is the press's is no profile of its own."""
    content = face.art.content
    if isinstance(content, Raster) and content.stream.colours == 4 and content.stream.icc == press.data:
        return _with_stream(face, content, replace(content.stream, icc=None))
    return face


def converted(face: CardFace, press: PressProfile, ink_limit: Fraction) -> tuple[CardFace, tuple[Finding, ...]]:
    """Convert the face's picture to the inks of the press; return the face and the findings.

    Args:
        face: a PDF page stays as it is, and so does a grey picture or one that is in the press's CMYK already.
        press: what it is converted to.
        ink_limit: the most ink of all four colours on one spot, percent.

    Raises:
        OrderHeld: littleCMS cannot use the profile.
    """
    content = face.art.content
    if isinstance(content, VectorPage):
        return face, (_left_alone(face),)
    if not _is_to_be_converted(content.stream, press):
        return for_press(face, press), ()
    changed = _changed(stored_picture(content.stream), content.stream.icc, press)
    pixels = np.asarray(changed)
    own = press.data if press.inks is Inks.RGB else None  # grey and CMYK without a profile are the press's own
    stream = encode_rows(pixels if pixels.ndim == 3 else pixels[:, :, np.newaxis], own)
    return _with_stream(face, content, stream), _ink_findings(face, changed, ink_limit)


def _with_stream(face: CardFace, raster: Raster, stream: ImageStream) -> CardFace:
    return replace(face, art=replace(face.art, content=replace(raster, stream=stream), thumbnail=None))


def _is_to_be_converted(stream: ImageStream, press: PressProfile) -> bool:
    if stream.colours == 4:
        return stream.icc is not None and stream.icc != press.data
    return stream.colours == 3 or stream.palette is not None


def _changed(picture: Image.Image, icc: bytes | None, press: PressProfile) -> Image.Image:
    change = _change(SRGB if icc is None and picture.mode == "RGB" else icc or b"", picture.mode, press)
    changed = ImageCms.applyTransform(picture, change)
    assert changed is not None  # a new picture was asked for
    return changed


@lru_cache(maxsize=4)
def _change(source: bytes, mode: str, press: PressProfile) -> ImageCms.ImageCmsTransform:
    try:
        return ImageCms.buildTransform(
            ImageCms.ImageCmsProfile(io.BytesIO(source)),
            ImageCms.ImageCmsProfile(io.BytesIO(press.data)),
            mode,
            _MODES[press.inks],
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
            ImageCms.Flags.BLACKPOINTCOMPENSATION,
        )
    except (OSError, ImageCms.PyCMSError) as cause:
        raise OrderHeld(
            "The colour profile of the press (output_profile) cannot be used to convert pictures. Put a sound one in "
            "its place, or write convert = false for this printer."
        ) from cause


def _ink_findings(face: CardFace, picture: Image.Image, limit: Fraction) -> tuple[Finding, ...]:
    """More ink on more than a tiny part of the picture than the press takes."""
    if picture.mode != "CMYK":
        return ()
    inks = np.asarray(picture).sum(axis=2, dtype=np.uint16)
    share = float((inks > float(limit) * 2.55).mean())
    if share <= _TINY_SHARE:
        return ()
    most = Fraction(int(np.quantile(inks, 1 - _TINY_SHARE / 2)) * 100, 255)
    said = (
        f"{face.art.file} comes to {show_mm(most, 0)} % of ink in the colours of this press, on {100 * share:.1f} % of "
        f"its area; {show_mm(limit, 0)} % is the limit: it may smear or print off on the next sheet. Use lighter dark "
        "tones, or a profile that is made for less ink."
    )
    return (Finding(level=Level.WARN, code="too-much-ink", message=said, side=face.art.side),)


def _left_alone(face: CardFace) -> Finding:
    said = f"{face.art.file} is a PDF: its colours are left as they are, for the press to convert."
    return Finding(level=Level.NOTE, code="pdf-not-converted", message=said, side=face.art.side)
