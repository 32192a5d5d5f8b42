"""What is seen round Brindle Head, an invented lighthouse: tower, rock, sea, stars, gulls; and their colours."""

from math import cos, pi, sin
from random import Random

from watcher.demo.brush import Brush, Colour, Spot

NIGHT: Colour = (13, 20, 46)
INK: Colour = (24, 34, 66)
DUSK: Colour = (58, 70, 122)
ROSE: Colour = (222, 128, 112)
AMBER: Colour = (255, 206, 122)
LAMP: Colour = (255, 238, 190)
CREAM: Colour = (250, 244, 230)
SAND: Colour = (226, 208, 174)
TEAL: Colour = (22, 92, 106)
FOAM: Colour = (196, 226, 224)
BRICK: Colour = (186, 58, 50)
ROCK: Colour = (30, 30, 48)


def draw_tower(brush: Brush, foot: Spot, height: float) -> Spot:
    """The lighthouse, `foot` the middle of its base; returns where its lamp is."""
    x, ground = foot
    wide, narrow = 0.13 * height, 0.08 * height  # half widths of the shaft
    shaft_top = ground - 0.76 * height

    def half(y: float) -> float:
        return narrow + (wide - narrow) * (y - shaft_top) / (ground - shaft_top)

    for number in range(5):
        upper, lower = (shaft_top + (ground - shaft_top) * (number + step) / 5 for step in (0, 1))
        corners = [
            (x - half(upper), upper),
            (x + half(upper), upper),
            (x + half(lower), lower),
            (x - half(lower), lower),
        ]
        brush.shape(corners, CREAM if number % 2 else BRICK)
    shade = [(x + 0.25 * narrow, shaft_top), (x + narrow, shaft_top), (x + wide, ground), (x + 0.25 * wide, ground)]
    brush.shape(shade, NIGHT, 0.22)
    _draw_openings(brush, foot, height)
    return _draw_lantern(brush, (x, shaft_top), height)


def _draw_openings(brush: Brush, foot: Spot, height: float) -> None:
    """The door to the left of the middle and two windows: the tower has a left and a right."""
    x, ground = foot
    door = 0.045 * height
    left = x - 1.3 * door
    brush.shape(
        [
            (left - door / 2, ground),
            (left - door / 2, ground - 2 * door),
            (left + door / 2, ground - 2 * door),
            (left + door / 2, ground),
        ],
        INK,
    )
    brush.disc((left, ground - 2 * door), door / 2, INK)
    for rise in (0.33, 0.56):
        window, y = 0.016 * height, ground - rise * height
        brush.shape([(x - 2 * window, y), (x, y), (x, y - 3 * window), (x - 2 * window, y - 3 * window)], AMBER)


def _draw_lantern(brush: Brush, top: Spot, height: float) -> Spot:
    """Gallery, lantern room and cap on the shaft that ends at `top`."""
    x, y = top
    gallery, room = 0.105 * height, 0.062 * height
    brush.shape(
        [(x - gallery, y), (x + gallery, y), (x + gallery, y - 0.022 * height), (x - gallery, y - 0.022 * height)], ROCK
    )
    floor, ceiling = y - 0.022 * height, y - 0.15 * height
    brush.shape([(x - room, floor), (x + room, floor), (x + room, ceiling), (x - room, ceiling)], LAMP)
    for pane in (-1, -0.33, 0.33, 1):
        brush.line([(x + pane * room, floor), (x + pane * room, ceiling)], 0.008 * height, ROCK)
    for rail in (-1, 1):
        brush.line(
            [(x + rail * gallery * 0.95, floor), (x + rail * gallery * 0.95, floor - 0.05 * height)],
            0.008 * height,
            ROCK,
        )
    brush.line(
        [(x - gallery * 0.95, floor - 0.05 * height), (x + gallery * 0.95, floor - 0.05 * height)], 0.007 * height, ROCK
    )
    brush.shape([(x - 1.25 * room, ceiling), (x + 1.25 * room, ceiling), (x, ceiling - 0.085 * height)], BRICK)
    brush.disc((x, ceiling - 0.09 * height), 0.014 * height, ROCK)
    return x, (floor + ceiling) / 2


def draw_rock(brush: Brush, crest: Spot, foot_y: float) -> None:
    """A headland that falls from `crest` to the left into the sea and runs out of the card on the right."""
    chance, (x, y) = Random(5), crest
    width = brush.right - x
    slope: list[Spot] = [(x - 0.9 * width - 12, foot_y)]
    for step in range(1, 9):
        share = step / 9
        slope.append(
            (
                slope[0][0] + (x - 7 - slope[0][0]) * share,
                foot_y + (y - foot_y) * share**1.6 + chance.uniform(-0.8, 0.8),
            )
        )
    slope += [(x - 6, y), (x + 8, y), (x + 14, y + 1.8), (brush.right + 1, y + 3.5), (brush.right + 1, foot_y + 30)]
    brush.shape([*slope, (slope[0][0], foot_y + 30)], ROCK)


def draw_skerry(brush: Brush, middle: Spot, half: float) -> None:
    """A low rock in the sea, steeper on its right; `middle` is its top."""
    x, y = middle
    rim = [(x - half, y + 0.5 * half), (x - 0.7 * half, y + 0.12 * half), (x - 0.3 * half, y), (x + 0.4 * half, y)]
    brush.shape(smooth([*rim, (x + 0.7 * half, y + 0.2 * half), (x + 0.85 * half, y + 0.5 * half)]), ROCK)


def draw_waves(brush: Brush, level: float, colours: tuple[Colour, ...], step: float, *, height: float = 1.5) -> None:
    """Rows of pointed waves from `level` to the foot of the card, one colour after the other."""
    for row, colour in enumerate(colours):
        length = 9.0 + 3 * row
        crest = [
            (x / 4, level + row * step + height * abs(sin(pi * (x / 4 + 2.3 * row) / length)))
            for x in range(int(4 * brush.left) - 2, int(4 * brush.right) + 4)
        ]
        brush.shape([*crest, (brush.right + 2, brush.bottom + 1), (brush.left - 2, brush.bottom + 1)], colour)


def draw_stars(brush: Brush, down_to: float, number: int, *, seed: int = 11) -> None:
    """Stars from the card's upper edge down to a height; fewer and smaller towards it."""
    chance = Random(seed)
    for _ in range(number):
        x, depth = chance.uniform(brush.left, brush.right), chance.random() ** 1.5
        bright = chance.random() ** 3
        brush.disc((x, brush.top + depth * (down_to - brush.top)), 0.12 + 0.3 * bright, LAMP, 0.35 + 0.65 * bright)


def draw_moon(brush: Brush, centre: Spot, radius: float, lit: float, *, waxing: bool = True) -> None:
    """The moon, lit from 0 (new) to 1 (full); waxing shines on its right."""
    (x, y), side = centre, 1 if waxing else -1
    angles = [pi * (step / 24 - 0.5) for step in range(25)]
    limb = [(x + side * radius * cos(angle), y + radius * sin(angle)) for angle in angles]
    shadow = [(x + side * (1 - 2 * lit) * radius * cos(angle), y + radius * sin(angle)) for angle in reversed(angles)]
    brush.disc(centre, radius, INK if y < 30 else (52, 62, 108))
    brush.shape([*limb, *shadow], LAMP)


def draw_gull(brush: Brush, at: Spot, span: float, colour: Colour) -> None:
    """A gull afar, its right wing higher."""
    x, y = at
    left = [(x - span * t, y - 0.42 * span * sin(pi * min(1.0, 1.15 * t))) for t in (0, 0.1, 0.2, 0.3, 0.4, 0.5)]
    right = [(x + span * t, y - 0.55 * span * sin(pi * min(1.0, 1.1 * t))) for t in (0, 0.1, 0.2, 0.3, 0.4, 0.5)]
    brush.line(left, 0.07 * span, colour)
    brush.line(right, 0.07 * span, colour)


def draw_dots(brush: Brush, spots: list[Spot], colour: Colour) -> None:
    """A dotted path along straight pieces, one dot every 1.7 mm."""
    for (x0, y0), (x1, y1) in zip(spots, spots[1:], strict=False):
        pieces = max(1, round(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 / 1.7))
        for piece in range(pieces):
            share = piece / pieces
            brush.disc((x0 + (x1 - x0) * share, y0 + (y1 - y0) * share), 0.5, colour)


def smooth(spots: list[Spot], pieces: int = 8) -> list[Spot]:
    """A soft line through all spots (Catmull-Rom)."""
    ends = [spots[0], *spots, spots[-1]]
    soft: list[Spot] = []
    for before, start, end, after in zip(ends, ends[1:], ends[2:], ends[3:], strict=False):
        for piece in range(pieces):
            soft.append(_between(before, start, end, after, piece / pieces))
    return [*soft, spots[-1]]


def _between(before: Spot, start: Spot, end: Spot, after: Spot, t: float) -> Spot:
    def along(a: float, b: float, c: float, d: float) -> float:
        return 0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)

    return along(before[0], start[0], end[0], after[0]), along(before[1], start[1], end[1], after[1])
