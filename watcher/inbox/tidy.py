"""Turn an order's name into a folder's name that every file system takes."""

import re
import unicodedata

MOST_BYTES = 180  # leaves room in the usual 255 for `_instructions.pdf`, `-2` and a temporary name's ending
_NO_NAME = "order"
_FORBIDDEN = set('<>:"/\\|?*')
_UNSEEN = {"Cc", "Cf", "Cs", "Zl", "Zp"}
_DEVICE = re.compile(
    r"(CON|PRN|AUX|NUL|CONIN\$|CONOUT\$|(?:COM|LPT)[0-9\u00b9\u00b2\u00b3])\s*(?=\.|\Z)",
    re.IGNORECASE,
)


def tidy_order_name(text: str) -> str:
    r"""Return the name of the order's folder: safe on every file system and in every command line, never empty.

    Left out are the signs `<>:"/\\|?*`, control and format signs (also those that reorder the text around them) and
    what is not text; dots, spaces and hyphens at the start (hidden folders, options), dots and spaces at the end. A
    name that is a device on Windows gets a `_` behind the device's word, also before an ending. At most 180 bytes of
    UTF-8, composed (NFC), cut between two characters. Tidying twice changes nothing.

    Source: the naming rules that Windows publishes for files and folders; 255 bytes a name is common (ext4, APFS).
    """
    kept = "".join(sign for sign in text if sign not in _FORBIDDEN and unicodedata.category(sign) not in _UNSEEN)
    name = _trimmed(unicodedata.normalize("NFC", kept))
    name = _DEVICE.sub(r"\1_", name, count=1) if _DEVICE.match(name) else name
    return _trimmed(_cut(name)) or _NO_NAME


def _trimmed(name: str) -> str:
    start = 0
    while start < len(name) and (name[start] in ".-" or name[start].isspace()):
        start += 1
    end = len(name)
    while end > start and (name[end - 1] == "." or name[end - 1].isspace()):
        end -= 1
    return name[start:end]


def _cut(name: str) -> str:
    """The name's longest start that fits, not parted between a letter and the accents that follow it."""
    kept = name.encode()[:MOST_BYTES].decode(errors="ignore")
    if len(kept) == len(name) or not unicodedata.combining(name[len(kept)]):
        return kept
    end = len(kept)
    while end and unicodedata.combining(kept[end - 1]):
        end -= 1
    return kept[: max(0, end - 1)] or kept
