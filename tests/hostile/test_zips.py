"""ZIPs that lead elsewhere, hide, nest or unpack without end. Fields: PKWARE APPNOTE 6.3, 4.3 and 4.4."""

import io
import stat
import struct
import warnings
import zipfile

import pytest
from PIL import Image

OUT = ("leads out of the zip",)


def art(colour="#335577"):
    out = io.BytesIO()
    Image.new("RGB", (258, 173), colour).save(out, "PNG")
    return out.getvalue()


def alone(name, data, mode=None):
    """A ZIP of one member; `mode` is its kind and rights as archivers on Unix write them."""
    return packed((name if mode is None else entry(name, mode), data))


def packed(*members, method=zipfile.ZIP_DEFLATED):
    """A ZIP of (name or ZipInfo, bytes) members."""
    out = io.BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(out, "w", method) as archive:
        warnings.simplefilter("ignore")  # a name that occurs twice
        for name, data in members:
            archive.writestr(name, data)
    return out.getvalue()


def entry(name, mode=stat.S_IFREG | 0o644, system=3):
    info = zipfile.ZipInfo(name)
    info.create_system, info.external_attr = system, mode << 16
    return info


def overwritten(data, find, offset, value):
    """Bytes behind the start of every record of a kind overwritten."""
    changed, at = bytearray(data), -1
    while (at := data.find(find, at + 1)) >= 0:
        changed[at + offset : at + offset + len(value)] = value
    return bytes(changed)


LOCAL, CENTRAL = b"PK\x03\x04", b"PK\x01\x02"


def many(count):
    """A ZIP of so many empty entries, written by hand: the library needs seconds for it."""
    local = struct.pack("<4s5H3L2H", LOCAL, 20, 0, 0, 0, 0, 0, 0, 0, 6, 0)
    central = struct.pack("<4s6H3L5H2L", CENTRAL, 20, 20, 0, 0, 0, 0, 0, 0, 0, 6, 0, 0, 0, 0, 0, 0)
    names = [b"%06d" % number for number in range(count)]
    body = b"".join(local + name for name in names)
    directory = b"".join(central + name for name in names)
    wide = struct.pack("<4sQ2H2L4Q", b"PK\x06\x06", 44, 45, 45, 0, 0, count, count, len(directory), len(body))
    locator = struct.pack("<4sLQL", b"PK\x06\x07", 0, len(body) + len(directory), 1)
    end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 0xFFFF, 0xFFFF, 0xFFFFFFFF, 0xFFFFFFFF, 0)
    return body + directory + wide + locator + end


def _names():
    return {
        "up.zip": (packed(("../../evil_front.png", art())), OUT),
        "up2.zip": (packed(("a/../../evil.png", art())), OUT),
        "up3.zip": (packed(("..\\..\\evil.png", art())), OUT),
        "root.zip": (packed(("/etc/evil.png", art())), OUT),
        "drive.zip": (packed(("C:\\evil.png", art())), OUT),
        "drive2.zip": (packed(("c:evil.png", art())), OUT),
        "share.zip": (packed(("\\\\server\\share\\evil.png", art())), OUT),
        "stream.zip": (packed(("a.png:evil", art())), ("cannot be used",)),
        "link.zip": (alone("1.png", b"/etc/passwd", stat.S_IFLNK | 0o777), ("a link",)),
        "fifo.zip": (alone("1.png", b"x", stat.S_IFIFO | 0o666), ("1.png", "no ordinary file")),
        "device.zip": (alone("1.png", b"x", stat.S_IFBLK | 0o666), ("no ordinary file",)),
        "twice.zip": (packed(("1.png", art()), ("1.png", art("red"))), ("more than once",)),
        "case.zip": (packed(("a/A.png", art()), ("b/a.PNG", art("red"))), ("more than once",)),
        "nul.zip": (packed(("x1.png", art())).replace(b"x1.png", b"\0.png+"), ("without a name",)),
        "nul2.zip": (packed(("1.pngx", art())).replace(b"1.pngx", b"1.exe\0"), ("1.exe",)),
        "esc.zip": (packed(("\x1b[2Ja\nb.exe", art())), ("\\x1b[2ja\\nb.exe",)),
        "exe.zip": (packed(("setup.exe", b"MZ"), ("1.png", art())), ("setup.exe", "png, jpeg")),
        "empty.zip": (packed(), ("no art",)),
        "mac.zip": (packed(("__MACOSX/._1.png", b"x"), (".DS_Store", b"x")), ("no art",)),
    }


def _insides():
    nothing = packed(("1.png", bytes(20_000_000)))
    sound = packed(("1.png", art()), method=zipfile.ZIP_STORED)
    middle = sound.index(b"IDAT") + 20
    locked = overwritten(overwritten(sound, LOCAL, 6, b"\1\0"), CENTRAL, 8, b"\1\0")
    rarer = overwritten(overwritten(sound, LOCAL, 8, b"\x63\0"), CENTRAL, 10, b"\x63\0")
    many_of_a_kind = packed(*((f"{number}.png", b"art") for number in range(120)))
    too_much_in_all = overwritten(many_of_a_kind, CENTRAL, 24, struct.pack("<L", 9_000_000))
    long_ticket = packed(("1.png", art()), ("a.toml", b"#" * 70_000))
    lying = overwritten(packed(("1.png", art())), CENTRAL, 24, struct.pack("<L", 10))
    return {
        "locked.zip": (locked, ("password",)),
        "nested.zip": (packed(("more.zip", packed(("1.png", art())))), ("another zip",)),
        "many.zip": (many(100_000), ("100,000 files", "2,000 is the most")),
        "ratio.zip": (nothing, ("more than 200 times its size",)),
        "sum.zip": (too_much_in_all, ("unpacks to 1,080 mb; 1,000 mb is the most",)),
        "lying.zip": (lying, ("damaged",)),
        "rare.zip": (packed(("1.png", art()), method=zipfile.ZIP_LZMA), ("rare way",)),
        "rarer.zip": (rarer, ("rare way",)),
        "bent.zip": (sound[:middle] + b"\xff\0\xff" + sound[middle + 3 :], ("damaged",)),
        "half.zip": (sound[: len(sound) // 2], ("not complete",)),
        "tail.zip": (sound[:-9] + bytes(9), ("damaged",)),
        "void.zip": (packed(("1.png", b"")), ("is empty",)),
        "far.zip": (overwritten(sound, CENTRAL, 42, b"\xff\xff\xff\x7f"), ("damaged",)),
        "bad-art.zip": (packed(("1.png", b"no picture")), ("1.png in bad-art.zip",)),
        "ticket.zip": (long_ticket, ("a.toml", "65,536")),
        "program.zip": (b"MZ" + bytes(900) + sound[30:], ("damaged",)),
    }


CASES = {**_names(), **_insides()}


@pytest.fixture(scope="module")
def outcome(run_over, bad):
    return run_over(bad(name=name, data=data) for name, (data, _) in CASES.items())


@pytest.mark.parametrize("name", CASES)
def test_it_is_held_with_its_true_reason(outcome, bad, name):
    data, words = CASES[name]
    assert outcome.shop.wrong_with(bad(name=name, data=data), words) is None


def test_everything_else_is_unharmed(outcome):
    outcome.assert_promises()


def test_nothing_is_unpacked_under_a_name_from_inside(outcome):
    place = outcome.shop.folder.parent
    assert not list(place.rglob("*evil*"))
    assert not list(place.parent.glob("*evil*"))
