"""The art of the demo's orders, a function a side; each paints on a brush that has the card's size."""

from math import cos, pi, sin

from watcher.demo import motifs as m
from watcher.demo.brush import Brush

PLACE = "BRINDLE HEAD LIGHT"


def lamp_night_front(brush: Brush) -> None:
    """Invitation: the lamp sweeps to the left over the sea."""
    brush.sky([(brush.top, m.NIGHT), (70, m.DUSK), (108, (150, 104, 128)), (122, m.ROSE), (brush.bottom, m.AMBER)])
    m.draw_stars(brush, 95, 150)
    m.draw_moon(brush, (20, 24), 6.5, 0.28, waxing=False)
    m.draw_waves(brush, 132, ((46, 62, 104), (34, 48, 88), m.INK), 11)
    m.draw_rock(brush, (92, 134), 182)
    lamp = m.draw_tower(brush, (95, 134.5), 62)
    brush.beam(lamp, (-30, 62), 0.16, m.LAMP, 0.9)
    brush.glow(lamp, 17, m.LAMP, 0.85)
    for x, y, span in ((34, 98, 7), (45, 104, 4.6), (25, 107, 3.6)):
        m.draw_gull(brush, (x, y), span, m.INK)
    middle = brush.width / 2
    brush.write((10, 46), "The Night", 11, m.CREAM, bold=True)
    brush.write((10, 59), "of the Lamp", 11, m.CREAM, bold=True)
    brush.write((middle, 160.5), PLACE, 4.2, m.AMBER, bold=True, anchor="ms", gap=0.9)
    brush.write((middle, 167), "lit for 150 years  ·  meet at the front door at dusk", 3, m.CREAM, anchor="ms")
    brush.frame(5, 0.25, m.LAMP, 0.7)


def lamp_night_back(brush: Brush) -> None:
    """Invitation, other side: the way there, and a slip to hand back."""
    brush.sky([(brush.top, m.CREAM), (brush.bottom, (244, 234, 212))])
    brush.shape(
        [(brush.left, 132), (brush.right, 124), (brush.right, brush.bottom), (brush.left, brush.bottom)], m.TEAL
    )
    bays = [(-4, 70), (18, 74), (30, 67), (44, 77), (60, 73), (74, 82), (88, 66), (104, 60), (112, 42), (131, 28)]
    coast = m.smooth([(float(x), float(y)) for x, y in bays])
    brush.shape([*coast, (brush.right, 125), (brush.left, 133)], m.SAND)
    brush.line(coast, 0.5, m.TEAL)
    for row in range(1, 5):
        brush.line([(x - row, y - 4 * row) for x, y in coast], 0.25, m.TEAL, 0.6 - 0.12 * row)
    m.draw_dots(brush, m.smooth([(24, 100), (40, 92), (58, 94), (78, 98), (94, 84), (101, 70)], 1), m.BRICK)
    brush.disc((24, 100), 2, m.BRICK)
    m.draw_tower(brush, (104, 66), 26)
    brush.write((24, 107.5), "harbour", 3.6, m.INK, anchor="ms")
    brush.write((70, 105), "40 minutes on foot", 3, m.BRICK, anchor="ms")
    brush.write((10, 20), "The way there", 8, m.INK, bold=True)
    brush.write((10, 27.5), "from the harbour along the North Shore Path", 3.3, m.INK)
    brush.write((10, 33), "Bring a coat, a lantern and a friend.", 3.3, m.INK)
    brush.write((10, 143.5), "Hand this back at the door:", 4.2, m.CREAM)
    brush.write((10, 152), "one bowl of soup", 7, m.AMBER, bold=True)
    brush.write((10, 166), PLACE, 3, m.FOAM, bold=True, gap=0.7)
    brush.frame(5, 0.25, m.BRICK, 0.7)


def keeper_front(brush: Brush) -> None:
    """Visitor card: the tower at the left, the name at the right."""
    brush.sky([(brush.top, m.NIGHT), (38, m.DUSK), (brush.bottom, m.ROSE)])
    m.draw_stars(brush, 22, 34, seed=3)
    m.draw_waves(brush, 46, (m.INK,), 5, height=0.9)
    m.draw_skerry(brush, (17, 46), 13)
    lamp = m.draw_tower(brush, (17, 46.5), 34)
    m.draw_waves(brush, 50, (m.NIGHT,), 5, height=0.9)
    brush.beam(lamp, (95, 6), 0.2, m.LAMP, 0.75)
    brush.glow(lamp, 8, m.LAMP, 0.8)
    brush.write((34, 26), "Ada Quill", 7, m.CREAM, bold=True)
    brush.write((34.3, 32), "keeper of the lamp", 3.4, m.AMBER)
    brush.write((34.3, 40.5), "rings at the front, tea at the back", 2.5, m.CREAM)


def keeper_back(brush: Brush) -> None:
    """Visitor card, other side: when to come."""
    brush.sky([(brush.top, m.TEAL), (brush.bottom, (12, 62, 78))])
    m.draw_waves(brush, 37, ((34, 116, 128), (26, 100, 114), (16, 76, 92)), 5.5)
    m.draw_gull(brush, (66, 12), 12, m.FOAM)
    m.draw_gull(brush, (76, 18), 7, m.FOAM)
    brush.write((7, 13), PLACE, 3, m.AMBER, bold=True, gap=0.5)
    for row, line in enumerate(
        ("Tuesday to Sunday, 10 to dusk", "217 steps, no lift, one cat", "Back door for deliveries")
    ):
        brush.write((7, 20.5 + 5 * row), line, 3, m.CREAM)


def tide_table(brush: Brush) -> None:
    """Postcard: a week of tides under a week of moons."""
    brush.sky([(brush.top, m.INK), (60, m.DUSK), (90, m.TEAL), (brush.bottom, (10, 50, 66))])
    m.draw_stars(brush, 55, 70, seed=7)
    brush.write((9, 19), "Tides", 11, m.CREAM, bold=True)
    brush.write((9, 26.5), "of the week of the Lamp", 3.6, m.AMBER)
    days, step = ("Mo", "Tu", "We", "Th", "Fr", "Sa", "Su"), (brush.width - 24) / 6
    for number, day in enumerate(days):
        x = 12 + number * step
        m.draw_moon(brush, (x, 42), 4.6, (number + 0.5) / 6.5)
        brush.write((x, 54), day, 3.2, m.CREAM, anchor="ms")
    levels = [84 + 12 * cos(2 * pi * x / 14.4 + 0.6) * (1 - 0.003 * x) for x in range(-4, 112)]
    curve = [(float(x), level) for x, level in zip(range(-4, 112), levels, strict=True)]
    brush.shape([*curve, (112, brush.bottom + 1), (-4, brush.bottom + 1)], m.FOAM, 0.3)
    brush.line(curve, 0.7, m.FOAM)
    m.draw_waves(brush, 112, ((18, 80, 94),), 9)
    m.draw_skerry(brush, (84, 115), 13)
    m.draw_tower(brush, (84, 115.5), 30)
    m.draw_waves(brush, 119, ((14, 64, 80), m.INK), 8)
    brush.write((10, 134), "low water: walk round the front,", 3.2, m.CREAM)
    brush.write((10, 139.3), "high water: come in by the back", 3.2, m.CREAM)
    brush.frame(4.5, 0.22, m.FOAM, 0.7)


def foghorn_front(brush: Brush) -> None:
    """Programme: the horn at the lower left, its sound to the upper right."""
    brush.sky([(brush.top, m.AMBER), (70, m.ROSE), (brush.bottom, (150, 62, 78))])
    for ring in range(13):
        brush.ring((16, 112), 24 + 11 * ring, 2.6, m.CREAM, 0.62 - 0.042 * ring)
    brush.shape([(brush.left, 122), (8, 117), (30, 100), (35, 116), (12, 129), (brush.left, 134)], m.INK)
    brush.shape([(30, 100), (33.5, 99), (38.5, 115), (35, 116)], m.BRICK)
    brush.write((11, 22), "Foghorn", 12, m.INK, bold=True)
    brush.write((11, 34), "Concert", 12, m.INK, bold=True)
    brush.write((brush.width - 10, 124), "for horn, tide and bell", 4, m.CREAM, bold=True, anchor="rs")
    brush.write((brush.width - 10, 130), "seats at the front get wet", 3, m.CREAM, anchor="rs")


def foghorn_back(brush: Brush) -> None:
    """Programme, other side: what is played."""
    brush.sky([(brush.top, m.CREAM), (brush.bottom, (252, 232, 206))])
    brush.shape([(brush.left, brush.top), (13, brush.top), (13, brush.bottom), (brush.left, brush.bottom)], m.BRICK)
    brush.write((20, 20), "Programme", 7, m.INK, bold=True)
    pieces = (
        ("One long note", "in fog major"),
        ("Bell buoy at ebb", "for anyone who listens"),
        ("Rain on the gallery", "if it rains"),
        ("Gulls", "they come in when they like"),
        ("One long note, again", "from the back of the hall"),
    )
    for row, (title, remark) in enumerate(pieces):
        y = 37 + 17 * row
        brush.disc((22, y - 1.4), 1.3, m.ROSE)
        brush.write((27, y), title, 4.6, m.INK, bold=True)
        brush.write((27, y + 5.6), remark, 3.3, m.DUSK)
    brush.write((20, 130), PLACE, 2.8, m.BRICK, bold=True, gap=0.6)


def thanks_front(brush: Brush) -> None:
    """Thank-you note: a bowl on the rock wall, steam to the right."""
    brush.sky([(brush.top, m.FOAM), (60, m.CREAM), (brush.bottom, m.SAND)])
    m.draw_waves(brush, 70, ((120, 178, 184), (72, 142, 152)), 8)
    m.draw_skerry(brush, (116, 82), 20)
    m.draw_tower(brush, (116, 82.5), 56)
    m.draw_waves(brush, 88, (m.TEAL,), 8)
    brush.shape([(brush.left, 84), (72, 84), (88, brush.bottom), (brush.left, brush.bottom)], (92, 88, 96))
    for bend in range(3):
        steam = [(33 + 8 * bend + 1.8 * cos(step / 2.2 + bend), 60 - 1.3 * step) for step in range(13)]
        brush.line(steam, 1.1, (150, 170, 176), 0.8)
    brush.line([(56, 64), (70, 49)], 1.8, m.ROCK)
    bowl = [(41 - 19 * cos(pi * step / 24), 63 + 19 * sin(pi * step / 24)) for step in range(25)]
    brush.shape(bowl, m.BRICK)
    brush.shape([(41, 82), (60, 63), (52, 63)], m.NIGHT, 0.18)
    brush.shape([(33, 80), (49, 80), (51, 84), (31, 84)], m.BRICK)
    brush.shape([(20.5, 61.5), (61.5, 61.5), (61, 64.5), (21, 64.5)], m.CREAM)
    brush.write((12, 27), "Thank you", 12, m.INK, bold=True)
    brush.write((12, 35), "for the soup, the songs and the light", 3.8, m.INK)


def thanks_back(brush: Brush) -> None:
    """Thank-you note, other side: lines to write on, an address to the right."""
    brush.sky([(brush.top, m.CREAM), (brush.bottom, m.CREAM)])
    brush.shape([(brush.left, 92), (brush.right, 99), (brush.right, brush.bottom), (brush.left, brush.bottom)], m.TEAL)
    for row in range(6):
        brush.line([(12, 26 + 11 * row), (76, 26 + 11 * row)], 0.2, m.DUSK, 0.6)
    brush.line([(84, 14), (84, 84)], 0.3, m.BRICK)
    brush.line([(111, 14), (128, 14), (128, 35), (111, 35), (111, 14)], 0.3, m.BRICK)
    m.draw_tower(brush, (119.5, 33), 17)
    for row in range(3):
        brush.line([(91, 54 + 10 * row), (128, 54 + 10 * row)], 0.2, m.DUSK, 0.6)
    brush.write((12, 103), "Write back soon.", 3.6, m.CREAM, bold=True)


def boat_ticket(brush: Brush) -> None:
    """Ticket without bleed: waves and stripes that run into the edge, where bleed is made by mirroring."""
    brush.sky([(brush.top, m.AMBER), (26, m.ROSE), (brush.bottom, (150, 62, 78))])
    m.draw_waves(brush, 38, (m.TEAL, (16, 76, 92), m.INK), 4.5, height=1)
    brush.shape([(8, 34), (40, 34), (35, 41.5), (13, 41.5)], m.BRICK)
    brush.shape([(20, 33), (20, 10), (36, 31)], m.CREAM)
    brush.shape([(19, 33), (19, 15), (10, 31)], m.FOAM)
    brush.write((43, 17), "Boat", 8, m.INK, bold=True)
    brush.write((43, 24), "to the Head and back", 3.1, m.INK)
    brush.write((43, 30), "leaves from the front steps", 2.4, m.CREAM)
    for hole in range(7):
        brush.disc((82, 5.5 + 6.7 * hole), 0.9, m.CREAM)
