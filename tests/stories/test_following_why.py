"""Each sentence of why.txt that names a file, followed to the letter by a machine, leads to an order that is made.

Made-up pairs of names, as people write them and as they should not, are dropped; what is held is answered in each way
that its why.txt offers. No art is opened: an order that is complete and has no fault would be made.
"""

import os
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from tests.orders.conftest import png
from watcher.inbox.settle import Settling
from watcher.orders.claim import claim, drop_taking
from watcher.orders.held_note import HeldNote
from watcher.orders.inbox_reading import InboxQuery, read_inbox
from watcher.orders.model import Planned
from watcher.orders.pairing import bundles
from watcher.outbox.hold import hold
from watcher.service.taking import read_found
from watcher.settings.load import load_settings

SETTINGS = """
[defaults]
card = "invitation"
[cards.invitation]
trim = "5 x 7 in"
sheet = "letter"
[cards.tag]
trim = "85 x 55 mm"
sides = 1
sheet = "letter"
[sheets.letter]
size = "letter"
printer = "office"
[printers.office]
flip = "long-edge"
"""


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "fsync", lambda _handle: None)


class Shop:
    """A print folder in which orders are taken and held, but not made."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for name in ("inbox", "inbox/tag", "archive", "held"):
            (folder / name).mkdir(parents=True, exist_ok=True)
        (folder / "settings.toml").write_text(SETTINGS)
        self.settings = load_settings(folder / "settings.toml")
        self.number = 0
        self.made: list[Planned] = []

    def drop(self, *names: str) -> None:
        for name in names:
            path = self.folder / "inbox" / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(png(name))

    def look(self) -> tuple[Planned, ...]:
        query = InboxQuery(
            settings=self.settings, insides={}, settling=Settling(0), content=read_found, now=0.0,
            waited_s=lambda _path: float("inf"),
        )  # fmt: skip
        reading = read_inbox(query)
        return (*reading.plans, *reading.gathered.unusable)

    def run(self) -> list[HeldNote]:
        """Take what lies there; what lacks a side has waited long enough. Gives what was held."""
        held = []
        for (plan,) in bundles(self.look()):
            assert not plan.arriving, plan
            fault = plan.fault or (
                plan.missing and f"{plan.files[0].name} has waited 15 min for its {plan.missing}. {plan.hint}"
            )
            self.number += 2
            (order,) = claim([replace(plan, fault=fault or None)], self.settings.folders.archive, self.number)
            if fault:
                held.append(
                    hold(
                        order, (fault,), soft=False, archive=self.settings.folders.archive,
                        held=self.settings.folders.held, since="2026-12-01T10:00:00+01:00",
                    )
                )  # fmt: skip
            else:
                self.made.append(plan)
                drop_taking(self.settings.folders.archive, self.number)
        for path in (self.folder / "inbox").rglob("*"):
            if path.is_dir() and path.name != "tag" and not any(path.iterdir()):
                path.rmdir()
        return held


@dataclass
class Answer:
    """What a sentence asks for: names for files that are there, files to be added, files to be taken away."""

    renames: dict[str, str]
    added: tuple[str, ...] = ()
    into: str = ""  # where added files go; empty: into the folder of the held order
    gone: tuple[str, ...] = ()


NAME = r'(?:"([^"]+\.png)"|(\S+?\.png))'


def _names(text: str) -> list[str]:
    return [quoted or bare for quoted, bare in re.findall(NAME, text)]


def answers(note: HeldNote) -> Iterator[Answer]:
    """Every answer that the sentences of a note offer."""
    why = note.reasons[0].message
    there = [file.name for file in note.files]
    container = note.came_in
    if found := re.search(r"does not say which side it is\. Name it (.+), and put the other one beside it", why):
        front, back = _names(found[1])
        yield Answer({there[0]: front}, (back,))
        yield Answer({there[0]: back}, (front,))
    elif found := re.search(r"already\. Take it away; or take the one away .+, and name it (.+) or (.+)\.$", why):
        unsaid = next(file for file in there if why.startswith(file))
        yield Answer({}, gone=(unsaid,))
        for name in _names(f"{found[1]} {found[2]}"):
            side = Path(name).stem.rpartition("_")[2]
            replaced = next(file for file in there if side in file)
            yield Answer({unsaid: name}, gone=(replaced,))
    elif found := re.search(r"which side it is, and .+ Name it (.+); or take it away", why):
        (name,) = _names(found[1])
        unsaid = next(file for file in there if why.startswith(file))
        yield Answer({unsaid: name})
        yield Answer({}, (name,), gone=(unsaid,))
    elif found := re.search(r"When they are one card, name the front (.+?) and the back (.+?\.png\"?)\.", why):
        front, back = _names(found[1] + " " + found[2])
        yield Answer(dict(zip(there, (front, back), strict=True)))
        if two := re.search(r"two cards, name them (.+) beside them\.", why):
            one, other, third, fourth = _names(two[1])
            yield Answer(dict(zip(there, (one, other), strict=True)), (third, fourth))
    elif found := re.search(r"may be the .+; name it (.+)\.$", why):
        unclear = next(file for file in there if why.startswith(file))
        yield from (Answer({unclear: name}) for name in _names(found[1]))
    elif "which may be a quantity" in why or "says two quantities" in why:
        said = re.split(r"(?:^|(?<=\. ))(?=\S.*? says )", why)
        unclear = {file: _names(one.partition("name it ")[2]) for one in said for file in there if one.startswith(file)}
        yield from (Answer(dict(zip(unclear, names, strict=True))) for names in zip(*unclear.values(), strict=True))
    elif found := re.search(r"Which one it goes with is not clear: (.+)\.$", why):
        names = _names(found[1])
        yield from (Answer({there[0]: name}) for name in names[1::2])
        yield from _missing(why, there, container)
    elif "has waited" in why:
        yield from _missing(why, there, container)
    elif "names no order" in why:
        word = why.partition(".png")[0].rpartition(" ")[2]
        other = {"front": "back", "back": "front"}[word]
        yield Answer({there[0]: f"menu_{word}.png"}, (f"menu_{other}.png",))
    elif "There are two different files" in why:
        yield from (Answer({}, gone=(name,)) for name in there if name in why)
    elif "quantities differ" in why:
        yield Answer({name: re.sub(r"[0-9]+(?=x|pcs| pcs)|(?<=x)[0-9]+", "50", name) for name in there})
    else:
        raise AssertionError(f"a sentence that nobody can follow: {why}")


def _missing(why: str, there: list[str], container: str) -> Iterator[Answer]:
    found = re.search(r"Put the \w+ into (the inbox|inbox/\S+|this folder) as " + NAME, why)
    assert found, why
    into = "" if found[1] == "this folder" else found[1].replace("the inbox", "inbox")
    yield Answer({}, (found[2] or found[3],), into)
    if "When this is no" in why:
        names = _names(why.partition("name its two sides")[2])
        yield Answer({there[0]: names[0]}, (names[1],))
        yield Answer({there[0]: names[1]}, (names[0],))


def follow(shop: Shop, note: HeldNote, answer: Answer) -> None:
    """Do what the answer says, then move the folder back into the inbox."""
    folder = shop.folder / "held" / note.folder
    for name in answer.gone:
        (folder / name).unlink()
    for old, new in answer.renames.items():
        (folder / old).rename(folder / f"{new}.away")
    for new in answer.renames.values():
        (folder / f"{new}.away").rename(folder / new)
    for name in answer.added:
        place = shop.folder / answer.into if answer.into else folder
        (place / name).write_bytes(png(name))
    folder.rename(shop.folder / "inbox" / f"back {shop.number}")


LONG = os.environ.get("PRINT_FOLDER_LONG") == "1"
ORDERS = ("menu", "Spring Fête", "back-to-school", "table 12", "A6 retro night", "x-mas", "front.row", "v2", "2026")
PAIRS = [
    *(("{}.png",) for _ in range(1)),
    ("{} 1.png", "{} 2.png"), ("{}-a.png", "{}-b.png"), ("{}_front.png",), ("{} back.png",), ("front {}.png",),
    ("Back of {}.png",), ("{}.png", "{}_front.png"), ("{}.png", "{} back.png"), ("front.png",), ("back.png",),
    ("{}-front-v1.png", "{}-front-v2.png", "{}-back.png"), ("{} 2x front.png", "{} back.png"),
    ("{} 2x front.png", "{} 2x back.png"), ("{} x50 x40 front.png", "{} back.png"),
    ("{} x50 front.png", "{} 40pcs back.png"),
    ("{}_front.png", "{} front.png", "{}_back.png"), ("back {}.png", "{}_front.png", "back {}_front.png"),
    ("{}/a.png", "{}/b.png"), ("{}/front.png", "{}/back.png", "{}/c.png"),
    ("{}/front.png",), ("{} x5/art.png",), ("Rückseite {}.png",), ("{} recto final.png",),
    ("{} 3 pieces of cake front.png", "{} back.png"), ("{} 12 x 50 front.png",),
]  # fmt: skip


@pytest.mark.parametrize("pattern", PAIRS, ids=" + ".join)
def test_each_sentence_followed_to_the_letter_leads_to_an_order(tmp_path: Path, pattern: tuple[str, ...]) -> None:
    at = PAIRS.index(pattern)
    for number, order in enumerate(ORDERS if LONG else (ORDERS[at % len(ORDERS)], ORDERS[(at + 4) % len(ORDERS)])):
        names = [name.format(order) for name in pattern]
        _try_all(tmp_path / str(number), names)


def _try_all(folder: Path, names: list[str]) -> None:
    first = Shop(folder / "first")
    first.drop(*names)
    held = first.run()
    for index, note in enumerate(held):
        for which in range(len(list(answers(note)))):
            shop = Shop(folder / f"{index}-{which}")
            shop.drop(*names)
            _leads_out(shop, shop.run()[index], which)


def _leads_out(shop: Shop, note: HeldNote, which: int) -> None:
    """Follow one answer; what is held of it then, for another reason, is answered in turn, until an order is made."""
    said = [note.why]
    for _ in range(3):
        follow(shop, note, list(answers(note))[which])
        held = [one for one in shop.run() if one.why not in said or one.key == note.key]
        if shop.made:
            return
        assert held, said
        note, which = held[0], 0
        assert note.why not in said, (said, "the same is said again")
        said.append(note.why)
    raise AssertionError(f"no end of it: {said}")
