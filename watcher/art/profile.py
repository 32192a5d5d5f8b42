"""Which colour profile of a picture goes with it into the PDF. Source: ICC.1:2010 7.2 (profile header)."""

import io

from PIL import ImageCms

_SPACE_OF = {1: b"GRAY", 3: b"RGB ", 4: b"CMYK"}
_CLASSES = (b"scnr", b"mntr", b"prtr", b"spac")  # what ISO 32000-1 8.6.5.5 allows for an ICCBased space
_LARGEST = 4_000_000  # bytes; CMYK press profiles reach about 3 MB (our own choice)


def fitting_profile(icc: bytes | None, colours: int) -> bytes | None:
    """The profile when it is whole and made for pictures of so many `colours`, else None (device colour)."""
    if not icc or not 128 <= len(icc) <= _LARGEST:
        return None
    fits = icc[16:20] == _SPACE_OF[colours] and icc[12:16] in _CLASSES and icc[36:40] == b"acsp"
    return icc if fits and int.from_bytes(icc[:4]) <= len(icc) and _opens(icc) else None


def _opens(icc: bytes) -> bool:
    try:
        ImageCms.ImageCmsProfile(io.BytesIO(icc))
    except (OSError, ImageCms.PyCMSError):
        return False
    return True
