"""Find what would put more cards on a sheet for a little less rim, gutter or bleed, or with the paper fed otherwise.

Everything is tried through the layout itself, so what is said here is what would be made.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from watcher.errors import NoCardFits
from watcher.layout.geometry import Margins, Size
from watcher.layout.lay_out import lay_out
from watcher.settings.sheet import SheetSettings
from watcher.settings.to_toml import SheetSetup
from watcher.settings.values import show_exact_length
from watcher.terms import Feed, Prefer
from watcher.units import Length, inches_to_mm, show_length
from watcher.work.arrange import layout_request

NEAR_MM = Fraction(1)  # or a tenth of the length, where that is more
_STEP_MM = Fraction(1, 100)  # in which a smaller length is looked for; for one written in inches a thousandth of one
_STEP_IN = inches_to_mm(Fraction(1, 1000))
_SIDES = ("top", "right", "bottom", "left")
_PAIRS = (("left", "right"), ("top", "bottom"))


@dataclass(frozen=True, kw_only=True)
class _Shorter:
    """A way to make lengths of the settings shorter.

    Attributes:
        what: of what there would be less, for people.
        now: the longest of the lengths that shrink, mm.
        times: how often it counts across the sheet, for people.
        apply: gives the settings with so much less, mm.
        lines: gives what to write then.
    """

    what: str
    now: Fraction
    times: int
    apply: Callable[[Fraction], SheetSetup]
    lines: Callable[[Fraction], str]


def near_misses(setup: SheetSetup, wanted: int) -> Iterator[str]:
    """Give a sentence for each small change that would put more cards on a sheet.

    Args:
        setup: the card on its sheet.
        wanted: cards of an order; it decides between grids where few cuts are preferred.
    """
    up = cards_on_sheet(setup, wanted)
    for ways in (_rims(setup), _gutters(setup), _bleeds(setup)):
        yield from next((found for way in ways if (found := list(_gains(way, up, wanted)))), [])
    yield from _other_edge(setup, up, wanted)
    yield from _mixed(setup, up, wanted)


def cards_on_sheet(setup: SheetSetup, wanted: int) -> int:
    """Give how many cards come onto a sheet, 0 where none fits."""
    try:
        return lay_out(layout_request(setup, wanted)).up
    except NoCardFits:
        return 0


def _gains(way: _Shorter, up: int, wanted: int) -> Iterator[str]:
    """Give the first gain within reach, and the largest where that is another one."""
    step = _step(way.now)

    def there_with(mm: Fraction) -> int:
        return cards_on_sheet(way.apply(mm), wanted)

    reach = min(max(NEAR_MM, way.now / 10), way.now)
    most = there_with(reach)
    if most <= up:
        return
    for more in dict.fromkeys((up + 1, most)):
        less = _least(there_with, more, reach, step)
        there = there_with(less)
        yield (
            f"{show_length(way.times * less, way.now)} less {way.what} would put {there} on a sheet instead of "
            f"{up or 'none'}: {way.lines(less)}"
        )
        if there == most:
            return


def _least(up_with: Callable[[Fraction], int], up: int, reach: Fraction, step: Fraction) -> Fraction:
    """Give the smallest multiple of `step`, or `reach`, with which `up` cards fit; with more of it they fit too."""
    low, high = 0, -(-reach // step)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if up_with(min(reach, middle * step)) >= up else (middle, high)
    return min(reach, high * step)


def _rims(setup: SheetSetup) -> Iterator[_Shorter]:
    """Give the rims that may shrink: all round where it is even, else as few sides as will do."""
    rim = vars(setup.sheet.unprintable)
    even = len({*rim.values()}) == 1 and setup.sheet.unprintable_back is None
    widest_first = [(side,) for side in sorted(_SIDES, key=lambda side: -rim[side])]
    for sides in [_SIDES] if even else [*widest_first, *_PAIRS, _SIDES]:
        now = max(rim[side] for side in sides)
        if now:
            yield _rim(setup, sides, now)


def _rim(setup: SheetSetup, sides: tuple[str, ...], now: Fraction) -> _Shorter:
    def shrunk(rim: Margins, less: Fraction) -> Margins:
        return replace(rim, **{side: max(Fraction(0), getattr(rim, side) - less) for side in sides})

    def smaller(less: Fraction) -> dict[str, Margins]:
        """The rim, and that of the back where it has one of its own, on the same sides of its own page."""
        rims = {"unprintable": setup.sheet.unprintable, "unprintable_back": setup.sheet.unprintable_back}
        return {key: shrunk(rim, less) for key, rim in rims.items() if rim is not None}

    def lines(less: Fraction) -> str:
        written = " and ".join(f"{key} = {_show_rim(rim, setup.sheet)}" for key, rim in smaller(less).items())
        each = f", {show_length(less, now)} less at each edge" if sides == _SIDES else ""
        way = "if the printer prints that far; measure a full-page print"
        return f"{written} for the sheet {setup.sheet.name}{each}, {way}"

    times = 1 if len(sides) == 1 else 2
    return _Shorter(what="rim", now=now, times=times, apply=lambda mm: _on(setup, smaller(mm)), lines=lines)


def _gutters(setup: SheetSetup) -> Iterator[_Shorter]:
    """Give the gutter, as it is set or as it follows from the bleed."""
    card = setup.card
    now = setup.sheet.gutter_for(card)
    if now:
        now = now if setup.sheet.gutter is not None else Length(now, getattr(card.bleed, "unit", "mm"))
        yield _Shorter(
            what="gutter",
            now=now,
            times=1,
            apply=lambda mm: _on(setup, {"gutter": now - mm}),
            lines=lambda mm: f'gutter = "{show_exact_length(now - mm, now)}" for the sheet {setup.sheet.name}',
        )


def _bleeds(setup: SheetSetup) -> Iterator[_Shorter]:
    """Give the bleed that must be printed at the outside alone, then the whole bleed."""
    card = setup.card
    if card.least_bleed:
        yield _Shorter(
            what="bleed at the outside",
            now=card.least_bleed,
            times=1,
            apply=lambda mm: _of(setup, {"least_bleed": card.least_bleed - mm}),
            lines=lambda mm: (
                f'least_bleed = "{show_exact_length(card.least_bleed - mm, card.bleed)}" for the card {card.name}'
            ),
        )
    if card.bleed:
        yield _Shorter(
            what="bleed",
            now=card.bleed,
            times=1,
            apply=lambda mm: _of(setup, {"bleed": card.bleed - mm, "least_bleed": _no_more(card.least_bleed, mm)}),
            lines=lambda mm: f'bleed = "{show_exact_length(card.bleed - mm, card.bleed)}" for the card {card.name}',
        )


def _no_more(length: Fraction, less: Fraction) -> Fraction:
    return max(Fraction(0), length - less)


def _other_edge(setup: SheetSetup, up: int, wanted: int) -> Iterator[str]:
    """Try the paper the other way round: the rim stays where the printer has it, and the other edge goes in first."""
    sheet, feed = setup.sheet, setup.printer.feed
    other = Feed.LONG_EDGE if feed is Feed.SHORT_EDGE else Feed.SHORT_EDGE
    lying = Size(sheet.size.height, sheet.size.width)
    turned = replace(_on(setup, {"size": lying}), printer=setup.printer.model_copy(update={"feed": other}))
    there = cards_on_sheet(turned, wanted)
    if there > up:
        way = "landscape" if lying.width > lying.height else "portrait"
        size = " x ".join(show_length(side) for side in (lying.width, lying.height))
        yield (
            f"the paper {way} would put {there} on a sheet instead of {up or 'none'}: a sheet of its own with "
            f'size = "{size}" on a printer with feed = "{other}", if the printer takes it that way'
        )


def _mixed(setup: SheetSetup, up: int, wanted: int) -> Iterator[str]:
    if setup.sheet.mixed_turns and setup.sheet.prefer is Prefer.MOST_CARDS:
        return
    there = cards_on_sheet(_on(setup, {"mixed_turns": True, "prefer": Prefer.MOST_CARDS}), wanted)
    if there > up:
        yield (
            f"upright and turned cards together would put {there} on a sheet instead of {up or 'none'}, with more "
            f'cuts: mixed_turns = true and prefer = "most cards" for the sheet {setup.sheet.name}'
        )


def _on(setup: SheetSetup, changes: Mapping[str, object]) -> SheetSetup:
    return replace(setup, sheet=setup.sheet.model_copy(update=changes))


def _of(setup: SheetSetup, changes: Mapping[str, object]) -> SheetSetup:
    return replace(setup, card=setup.card.model_copy(update=changes))


def _step(now: Fraction) -> Fraction:
    return _STEP_IN if getattr(now, "unit", "mm") == "in" else _STEP_MM


def _show_rim(rim: Margins, sheet: SheetSettings) -> str:
    """The rim as settings have it: one length where it is the same all round."""
    written = vars(sheet.unprintable)
    shown = [f'"{show_exact_length(getattr(rim, side), written[side])}"' for side in _SIDES]
    return shown[0] if len({*shown}) == 1 else f"[{', '.join(shown)}]"
