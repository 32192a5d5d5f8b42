"""Draw card designs: clean ones of many kinds, and ones with a known fault."""

import math

import numpy as np
from PIL import Image, ImageDraw, ImageFilter, ImageFont

from tests.long_form import LONG

CARDS = {
    "note": {"trim": "5 x 7 in", "bleed": "0.125 in"},
    "biz": {"trim": "85 x 55 mm", "bleed": "3 mm"},
    "a6": {"trim": "ISO A6", "bleed": "3 mm"},
    "square": {"trim": "100 x 100 mm", "bleed": "3 mm", "art_bleed": "3 mm"},
}
SIZES = {"note": (127, 177.8, 3.175), "biz": (85, 55, 3), "a6": (105, 148, 3), "square": (100, 100, 3)}
CLEAN: dict[str, "Pen"] = {}
FAULTY: dict[str, tuple["Pen", str]] = {}


class Pen:
    """Draws a card in millimetres from the upper left of its trim."""

    def __init__(self, card="note", ground="white", *, bleed=True, seed=0, ppi=150 if LONG else 110):
        self.card, self.rng, self.k = card, np.random.default_rng(seed), ppi / 25.4
        self.w, self.h, brought = SIZES[card]
        self.b = brought if bleed else 0
        self.px = round((self.w + 2 * self.b) * self.k), round((self.h + 2 * self.b) * self.k)
        self.put(Image.new("RGB", self.px, ground))

    def put(self, image):
        self.image = image
        self.draw = ImageDraw.Draw(image)
        return self

    def at(self, mm):
        return (mm + self.b) * self.k

    def grid(self):
        y, x = np.mgrid[0 : self.px[1], 0 : self.px[0]] / self.k
        return x, y

    def array(self, pixels):
        return self.put(Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8)))

    def where(self, mask, one, other):
        return self.array(np.where(mask[..., None], one, other))

    def rect(self, left, top, right, bottom, fill):
        self.draw.rectangle([self.at(left), self.at(top), self.at(right) - 1, self.at(bottom) - 1], fill=fill)
        return self

    def rule(self, inset, width, colour):
        box = [self.at(inset), self.at(inset), self.at(self.w - inset) - 1, self.at(self.h - inset) - 1]
        self.draw.rectangle(box, outline=colour, width=max(1, round(width * self.k)))
        return self

    def dot(self, x, y, radius, fill):
        self.draw.ellipse([self.at(x - radius), self.at(y - radius), self.at(x + radius), self.at(y + radius)], fill)
        return self

    def dots(self, pitch, radius, colour, shift=-3.0):
        for i in range(-1, int(self.w / pitch) + 3):
            for j in range(-1, int(self.h / pitch) + 3):
                self.dot(shift + i * pitch + (j % 2) * pitch / 2, shift + j * pitch, radius, colour)
        return self

    def scatter(self, count, least, most, colour=None):
        for _ in range(count):
            fill = colour or tuple(int(value) for value in self.rng.integers(60, 230, 3))
            x, y = self.rng.uniform(-5, self.w + 5), self.rng.uniform(-5, self.h + 5)
            self.dot(x, y, self.rng.uniform(least, most), fill)
        return self

    def text(self, words, x, y, mm, fill="black"):
        font = ImageFont.load_default(max(6, mm * self.k))
        self.draw.text((self.at(x), self.at(y)), words, fill=fill, font=font, anchor="mm")
        return self

    def centre(self, colour="black"):
        least = min(self.w, self.h)
        self.text("Lantern Walk", self.w / 2, self.h * 0.4, least * 0.09, colour)
        return self.text("Saturday at six, by the mill", self.w / 2, self.h * 0.55, least * 0.045, colour)

    def ink(self, edge, mm, words="Keeper of the light", size=4.0, fill="black"):
        """Text whose ink ends exactly so far inside the trim."""
        font = ImageFont.load_default(max(6, size * self.k))
        mask = Image.new("L", self.px)
        ImageDraw.Draw(mask).text((50, 50), words, fill=255, font=font)
        left, top, right, bottom = mask.point(lambda value: 255 * (value > 100)).getbbox()
        x = (self.px[0] - left - right) // 2
        y = (self.px[1] - top - bottom) // 2
        moved = {
            "left": (round(self.at(mm)) - left, y),
            "right": (round(self.at(self.w - mm)) - right, y),
            "top": (x, round(self.at(mm)) - top),
            "bottom": (x, round(self.at(self.h - mm)) - bottom),
        }[edge]
        self.draw.text((50 + moved[0], 50 + moved[1]), words, fill=fill, font=font)
        return self

    def gradient(self, one, other, degrees=0):
        x, y = self.grid()
        t = x * math.cos(math.radians(degrees)) + y * math.sin(math.radians(degrees))
        t = (t - t.min()) / (t.max() - t.min())
        return self.array(np.array(one) + (np.array(other) - np.array(one)) * t[..., None])

    def photo(self, scale=40, low=60, high=220, grain=5.0):
        """Smooth noise of three sizes, and grain."""
        total = np.zeros((self.px[1], self.px[0], 3))
        for size, weight in ((scale, 1), (scale / 4, 0.5), (scale / 16, 0.25)):
            shape = max(2, int(self.px[1] / size / 2)), max(2, int(self.px[0] / size / 2)), 3
            small = Image.fromarray((self.rng.random(shape) * 255).astype(np.uint8))
            total += weight * np.asarray(small.resize(self.px, Image.Resampling.BICUBIC))
        return self.array(low + (high - low) * total / 1.75 / 255 + self.rng.normal(0, grain, total.shape))

    def stripes(self, width, degrees, one, other):
        x, y = self.grid()
        t = x * math.cos(math.radians(degrees)) + y * math.sin(math.radians(degrees))
        return self.where(t // width % 2 == 0, one, other)

    def framed(self, inner, inset=0.0):
        """The picture of a card without bleed laid on this one, so far inside its trim."""
        size = round((self.w - 2 * inset) * self.k), round((self.h - 2 * inset) * self.k)
        self.image.paste(inner.image.resize(size), (round(self.at(inset)), round(self.at(inset))))
        return self


def clean(name, pen):
    CLEAN[name] = pen


def faulty(name, pen, code):
    FAULTY[name] = pen, code


def draw_plain_grounds():
    for card in ("note", "biz", "a6", "square"):
        clean(f"white {card}", Pen(card).centre())
        clean(f"navy {card}", Pen(card, "#203050").centre("white"))
    for card in ("note", "biz", "a6"):
        clean(f"white without bleed {card}", Pen(card, bleed=False).centre())
        clean(f"red without bleed {card}", Pen(card, "#a03050", bleed=False).centre("white"))
    clean("pale grey type", Pen(ground="#f8f8f8").centre("#c8c8c8"))
    clean("white at 300 ppi", Pen(ppi=300).centre())
    for degrees in (0, 37, 90):
        clean(f"gradient {degrees}", Pen().gradient((250, 240, 220), (80, 40, 120), degrees).centre("white"))
    clean("gradient from white", Pen("biz", bleed=False).gradient((255, 255, 255), (30, 120, 200), 90).centre())
    x, y = Pen().grid()
    far = np.hypot(x - x.max() / 2, y - y.max() / 2)
    clean("vignette", Pen().array(np.array([250, 245, 230]) * (1 - 0.7 * (far / far.max())[..., None] ** 2)).centre())
    grain = np.random.default_rng(2).normal(0, 9, (*Pen().grid()[0].shape, 1))
    clean("kraft paper", Pen().array(np.array([184, 155, 114]) + grain).centre("#402010"))


def draw_photos_and_patterns():
    for number, (scale, grain) in enumerate(((60, 3), (25, 6), (12, 10), (6, 18))):
        clean(f"photo {scale}", Pen(seed=number).photo(scale, grain=grain))
        clean(f"photo {scale} without bleed", Pen("biz", bleed=False, seed=number).photo(scale, grain=grain))
    for width in (2, 6, 15):
        clean(f"upright stripes {width}", Pen().stripes(width, 0, (255, 255, 255), (220, 170, 110)))
        clean(f"level stripes {width}", Pen("biz").stripes(width, 90, (255, 255, 255), (110, 170, 220)))
    for width, degrees in ((4, 45), (12, 45), (20, 30), (9, 70)):
        clean(f"stripes {width} at {degrees}", Pen().stripes(width, degrees, (245, 235, 240), (200, 60, 90)))
    x, y = Pen().grid()
    clean("chequered", Pen().where((x // 8 + y // 8) % 2 == 0, (255, 255, 255), (40, 40, 40)))
    clean("waves", Pen().where((y + 3 * np.sin(x / 4)) // 3 % 2 == 0, (255, 255, 255), (60, 140, 140)))
    clean("zigzag", Pen().where((y + 2 * np.abs(x % 8 - 4)) // 4 % 2 == 0, (250, 250, 240), (90, 60, 110)))
    clean("grid of lines", Pen().where((x % 5 < 0.2) | (y % 5 < 0.2), (136, 170, 204), (255, 255, 255)))
    for pitch, radius in ((5, 1), (9, 2.5), (16, 4), (22, 3)):
        clean(f"dots {pitch}", Pen(ground="#fff4e8").dots(pitch, radius, "#d06030"))
        clean(f"dots {pitch} without bleed", Pen("biz", bleed=False).dots(pitch, radius, "#3060d0", 1.0))
    for count in (400, 150, 60):
        clean(f"confetti {count}", Pen(seed=count).scatter(count, 1, 2.5))
    clean("night sky", Pen(ground="#101830", seed=11).scatter(350, 0.1, 0.5, "white").centre("white"))
    for card in ("note", "biz"):
        evening = Pen(card, seed=21).gradient((20, 25, 60), (120, 90, 120), 90)
        clean(f"a few stars {card}", evening.scatter(40, 0.15, 0.6, "white").centre("white"))
    words = Pen()
    for i in range(9):
        for j in range(13):
            words.text("hello", i * 16 - 2, j * 15 - 4, 4, "#b0c0d0")
    clean("words as a pattern", words)


def draw_what_bleeds_off():
    leaves = Pen(ground="#fffdf8")
    for corner, step in ((-2, 1), (1, -1)):
        for i in range(14):
            x, y = (corner if step > 0 else leaves.w + corner), (corner if step > 0 else leaves.h + corner)
            x, y = x + step * (8 + 8 * math.cos(i * 0.45)), y + step * (8 + 7 * math.sin(i * 0.45))
            leaves.dot(x, y, 4, ("#7aa06a", "#a0c090", "#557a4a")[i % 3])
    clean("leaves in two corners", leaves.centre())
    clean("circles in two corners", Pen("biz").dot(-2, -2, 18, "#f0a0a0").dot(87, 57, 22, "#a0a0f0").centre())
    clean("block on top", Pen().rect(-4, -4, 140, 60, "#305080").text("Menu", 63, 30, 14, "white"))
    clean("block on the left", Pen("biz").rect(-4, -4, 25, 60, "#c04040").text("Ada", 55, 25, 7))
    clean("band across", Pen("biz").rect(-4, 40, 95, 46, "#40a060").text("Ada", 42, 20, 7))
    for card, share in (("note", (1, 0.5)), ("a6", (0.5, 1))):
        half, photo = Pen(card), Pen(card, seed=4).photo(30).image
        half.image.paste(photo.crop((0, 0, round(half.px[0] * share[0]), round(half.px[1] * share[1]))), (0, 0))
        clean(f"photo on half of {card}", half.text("Thanks", half.w * 0.75, half.h * 0.75, 8))
    clean("large circle", Pen().dot(63.5, 89, 45, "#ffd070").centre())
    clean("circle off both sides", Pen().dot(63.5, 89, 80, "#ffd070").centre())
    hills = Pen().gradient((255, 220, 180), (120, 160, 220), 90)
    for i, colour in enumerate(("#7a8c5a", "#566b3f", "#33452a")):
        wide, high = hills.px
        line = [(x, high * (0.55 + 0.13 * i + 0.05 * math.sin(x / wide * 6 + 2 * i))) for x in range(wide + 1)]
        hills.draw.polygon([(0, high), *line, (wide, high)], fill=colour)
    clean("hills", hills.centre())
    blobs = Pen(seed=13, ground="#fffdf5")
    for _ in range(8):
        blobs.dot(blobs.rng.uniform(-10, 137), blobs.rng.uniform(-10, 60), blobs.rng.uniform(10, 25), "#c0a0d0")
    clean("soft colours on top", blobs.put(blobs.image.filter(ImageFilter.GaussianBlur(25))).centre())


def draw_margins():
    clean("type 4 mm from the cut", Pen().ink("left", 4.0))
    clean("type 3.3 mm from the cut", Pen("biz").ink("bottom", 3.3, size=3))
    clean("grey type 3.2 mm from the cut", Pen("biz").ink("bottom", 3.2, size=3, fill="#999999"))
    clean("rule at 6 mm", Pen().rule(6, 0.5, "#a08030").centre())
    clean("two rules", Pen().rule(6, 0.3, "#a08030").rule(8, 0.8, "#a08030").centre())
    clean("border of 8 mm", Pen(ground="#804020").rect(8, 8, 119, 169.8, "#fff8f0").centre())
    clean("border of 2.6 mm", Pen(ground="#f4d8b0").rect(2.6, 2.6, 124.4, 175.2, "#fffaf0").centre())
    clean("photo in a white border of 6 mm", Pen().framed(Pen(bleed=False, seed=8).photo(30), 6))
    clean("photo in a white border of 3 mm", Pen("biz").framed(Pen("biz", bleed=False, seed=8).photo(30), 3.2))
    clean("photo that leaves 0.4 mm of bleed white", Pen().framed(Pen(bleed=False, seed=8).photo(30), -2.75))
    drawing = Pen()
    for i in range(12):
        box = [drawing.at(value) for value in (20 + i * 3, 40 + i * 4, 100 - i * 2, 140 - i * 3)]
        drawing.draw.arc(box, 0, 300, fill="black", width=2)
    clean("line drawing", drawing)


def draw_what_stands_too_near():
    for edge in ("left", "right", "top", "bottom"):
        for mm in (0.5, 1, 2, 2.5):
            card = "biz" if mm < 1 or edge == "top" else "note"
            faulty(f"type at {mm} mm, {edge}", Pen(card).ink(edge, mm), "safe-zone")
        faulty(f"type across, {edge}", Pen().ink(edge, -1.5, "Across", 6), "across-the-cut")
    faulty("white on navy", Pen("biz", "#203050").ink("left", 1.5, fill="white"), "safe-zone")
    gradient = Pen().gradient((255, 240, 220), (240, 180, 160), 90)
    faulty("type on a gradient", gradient.ink("bottom", 1.5, size=5, fill="#604040"), "safe-zone")
    faulty("small grey type", Pen("biz").ink("bottom", 1.2, size=2.2, fill="#909090"), "safe-zone")
    for mm in (0.4, 1.5):
        faulty(f"type at {mm} mm without bleed", Pen("biz", bleed=False, ppi=150).ink("left", mm, size=3), "safe-zone")
    faulty("type at 300 ppi", Pen(ppi=300).ink("top", 2.2, size=5), "safe-zone")
    soft = Pen(seed=1).photo(60, 90, 150, 3)
    faulty("type on a soft photo", soft.ink("bottom", 1.2, size=6, fill="white"), "safe-zone")
    corner = Pen("biz").dot(-2, -2, 18, "#f0a0a0")
    faulty("type beside what bleeds off", corner.ink("right", 1), "safe-zone")
    faulty("type outside of a rule", Pen().rule(6, 0.5, "#a08030").ink("bottom", 1, size=3), "safe-zone")
    faulty("page number", Pen().ink("bottom", 1.5, "7", 5), "safe-zone")
    apart = Pen("biz")
    for i in range(6):
        apart.rect(10 + 12 * i, 51.5, 12 + 12 * i, 53.5, "black")
    faulty("signs far apart", apart, "safe-zone")
    faulty("code", Pen("biz").rect(71.5, 20, 83.5, 32, "black").rect(73, 22, 82, 30, "white"), "safe-zone")
    faulty("dot across", Pen("biz", "#305030").dot(84, 27, 2.5, "white"), "across-the-cut")


def draw_white_frames_and_borders():
    faulty("photo on a white ground", Pen().framed(Pen(bleed=False, seed=8).photo(30)), "white-frame")
    faulty("flat on a white ground", Pen().framed(Pen(ground="#304050", bleed=False)), "white-frame")
    gradient = Pen("biz", bleed=False).gradient((200, 80, 80), (80, 80, 200), 20)
    faulty("gradient on a white ground", Pen("biz").framed(gradient), "white-frame")
    faulty("1 mm of 3 mm of bleed", Pen("biz").framed(Pen("biz", "#304050", bleed=False), -1), "white-frame")
    faulty("white left and right", Pen().rect(0, -4, 127, 190, "#507050").centre("white"), "white-frame")
    faulty("white at the bottom", Pen().rect(-4, -4, 140, 177.8, "#507050").centre("white"), "white-frame")
    for mm in (0.6, 1, 1.5, 1.7):
        faulty(f"white border of {mm} mm", Pen().framed(Pen(bleed=False, seed=8).photo(30), mm), "narrow-border")
        brown = Pen("biz", "#804020").rect(mm, mm, 85 - mm, 55 - mm, "#fff8f0")
        faulty(f"brown border of {mm} mm", brown.centre(), "narrow-border")
    faulty("rule at 1.5 mm", Pen().rule(1.5, 0.3, "#c0a040").centre(), "narrow-border")
    brown = Pen("biz", "#804020", bleed=False).rect(1, 1, 84, 54, "#fff8f0")
    faulty("border of 1 mm without bleed", brown.centre(), "narrow-border")
    hairline = Pen("a6", bleed=False).rect(0.3, 0.3, 104.7, 147.7, "#203040")
    faulty("hairline of white without bleed", hairline.centre("white"), "narrow-border")
    faulty("nothing", Pen(), "blank-side")
    faulty("nothing, without bleed", Pen("biz", bleed=False), "blank-side")
    faulty("nearly white", Pen(ground="#fdfdfd"), "blank-side")
