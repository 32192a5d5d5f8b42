"""How the status page looks: its colours, in daylight and in the dark, and its style sheet.

Every colour is in a `Scheme`; a test holds them to the contrast of WCAG 2.2 (1.4.3 and 1.4.11, level AA).
"""

from dataclasses import dataclass, fields


@dataclass(frozen=True, kw_only=True)
class Scheme:
    """The colours of one scheme, `#rrggbb`.

    Attributes:
        desk: behind everything.
        paper: of a card that lies on it.
        tint: of a label on that paper.
        ink, quiet: text, and text of less weight.
        link: text that leads somewhere.
        held, waits, well: what state something is in; always said in words as well.
        edge: the outline of what can be pressed.
        rule: lines that only divide.
    """

    desk: str
    paper: str
    tint: str
    ink: str
    quiet: str
    link: str
    held: str
    waits: str
    well: str
    edge: str
    rule: str


DAY = Scheme(
    desk="#f3efe6",
    paper="#fffdf9",
    tint="#f0ebdf",
    ink="#26221b",
    quiet="#5c5547",
    link="#1b4d78",
    held="#8c2c1a",
    waits="#694a00",
    well="#2b5a37",
    edge="#827867",
    rule="#d9d1c0",
)
NIGHT = Scheme(
    desk="#191815",
    paper="#24221e",
    tint="#302d27",
    ink="#ece6d9",
    quiet="#b8af9d",
    link="#9fc8ee",
    held="#f3aa95",
    waits="#e6c46f",
    well="#a2d3ac",
    edge="#8f8673",
    rule="#454035",
)

BACKGROUNDS = ("desk", "paper", "tint")
TEXTS = ("ink", "quiet", "link", "held", "waits", "well")
OUTLINES = ("ink", "edge", "held", "waits", "well")


def _named(scheme: Scheme) -> str:
    return " ".join(f"--{field.name}: {getattr(scheme, field.name)};" for field in fields(scheme))


_RULES = """
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
body { margin: 0 auto; max-width: 76rem; padding: 1rem; background: var(--desk); color: var(--ink);
  font: 1.0625rem/1.5 system-ui, -apple-system, "Segoe UI", Roboto, "Noto Sans", sans-serif;
  overflow-wrap: anywhere; }
h1, h2 { font-family: Georgia, "Noto Serif", "DejaVu Serif", serif; font-weight: normal; line-height: 1.25; }
h1 { font-size: 1.75rem; margin: 0 0 .5rem; }
h2 { font-size: 1.375rem; margin: 2rem 0 .75rem; }
h3 { font-size: 1.125rem; line-height: 1.35; margin: 0 0 .25rem; }
h4 { font-size: 1rem; margin: .75rem 0 0; }
p, ul, dl, table { margin: 0 0 .5rem; }
a { color: var(--link); }
a:focus-visible { outline: 3px solid var(--ink); outline-offset: 2px; border-radius: 2px; }
.lead { font-size: 1.1875rem; }
.quiet, .quiet a { color: var(--quiet); }
.unseen { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }

.jump { list-style: none; margin: 1rem 0 0; padding: 0; display: flex; flex-wrap: wrap; gap: .5rem; }
.jump a, .links a { display: flex; align-items: center; gap: .5rem; min-height: 2.75rem; padding: .375rem .75rem;
  border: 1px solid var(--edge); border-radius: 3px; background: var(--paper); text-decoration: none; }
.jump a:hover, .links a:hover { text-decoration: underline; }
.jump a, .number { overflow-wrap: normal; }
.jump b { font-size: 1.25rem; color: var(--ink); }

article > :last-child, article div > :last-child { margin-bottom: 0; }
article, .notice { background: var(--paper); border: 1px solid var(--rule); border-radius: 3px;
  padding: .875rem 1rem; margin: 0 0 .75rem; }
#week h3 { margin: 1.25rem 0 .5rem; }
#week h4 { font-size: 1.125rem; line-height: 1.35; margin: 0; }
.row { display: flex; gap: .875rem; padding: .75rem .875rem; }
.row > div { flex: 1; min-width: 0; }
.row p { margin: 0 0 .25rem; }
.thumb { flex: none; width: 3.5rem; height: 4.5rem; background: var(--tint); border: 1px solid var(--rule); }
.beside { border: 0; background: none; }
.thumb img { display: block; width: 100%; height: 100%; object-fit: contain; }
.row .due { font-weight: 600; }
.late { color: var(--held); }
.today { color: var(--waits); }
.state { font-weight: 600; }
.state a { color: inherit; }
.held { border-left: .375rem solid var(--held); }
.held .state { color: var(--held); }
.waits { border-left: .375rem double var(--waits); }
.waits .state { color: var(--waits); }
.print { border-left: .375rem solid var(--well); }
.print .state, .well .state { color: var(--well); }
.spots img { display: block; max-width: 100%; max-height: 34rem; border: 1px solid var(--rule); }
.notice { border: 2px solid var(--waits); margin: .75rem 0; }
.grave { border-color: var(--held); }
.whole { white-space: nowrap; }

.piles { border-collapse: collapse; width: 100%; background: var(--paper); border: 1px solid var(--rule); }
.piles caption { text-align: left; padding: 0 0 .5rem; color: var(--quiet); }
.piles th, .piles td { padding: .5rem .75rem; text-align: left; vertical-align: top; font-weight: normal;
  border-top: 1px solid var(--rule); }
.piles thead th { color: var(--quiet); font-size: .9375rem; }
.piles .number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.piles td.number:first-child { font-size: 1.25rem; font-weight: 600; line-height: 1.2; }

.facts { margin: 0; }
.facts dt, .facts dd { display: inline; margin: 0; }
.facts dt { color: var(--quiet); }
.facts dt::after { content: ": "; white-space: pre; }
.links { list-style: none; margin: .5rem 0 0; padding: 0; display: flex; flex-wrap: wrap; gap: .5rem; }
.links li { margin: 0; }

footer { margin: 2rem 0 0; padding: 1rem 0 0; border-top: 1px solid var(--rule); }

@media (min-width: 62rem) {
  body { padding: 2rem; }
  .columns-2 { display: grid; column-gap: 2rem; grid-template-columns: repeat(2, minmax(0, 1fr)); }
}
@media (max-width: 34rem) {
  .jump { display: grid; grid-template-columns: repeat(2, minmax(0, 1fr)); }
  .jump a { height: 100%; }
}
@media (max-width: 24rem) {
  .whole { white-space: normal; }
  .piles th, .piles td { padding: .5rem; }
}
@media print {
  .jump, .links { display: none; }
}
"""

STYLE = f"""
:root {{ color-scheme: light dark; {_named(DAY)} }}
@media (prefers-color-scheme: dark) {{ :root {{ {_named(NIGHT)} }} }}
{_RULES}"""
