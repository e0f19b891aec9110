"""Drawings of our own: what each fault of a deposit looks like, the bent-strip test, and how to read a hydrometer.

Each is an SVG composed of a few simple shapes, with its title and a text that says what is to be seen, and fetches
nothing. Lines and words are in the colour of the page's text, light or dark. `image` puts one on a page: Streamlit
takes SVG out of HTML, but leaves pictures in.
"""

from __future__ import annotations

import html
import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from urllib.parse import quote

INK, GREY, WHITE = "currentColor", "#8C9498", "#F4F1EA"
COPPER, DULL, SALMON, BURNT, MUD = "#CB7B48", "#94715C", "#D79A7E", "#4B2419", "#3A2C26"
BLUE, CRYSTAL, GREEN, PALE = "#2F86A8", "#1669C7", "#3F9A5A", "#9CCBD6"
_STYLE = "svg{color:#23302F}@media (prefers-color-scheme:dark){svg{color:#E8E5DE}}text{font-family:sans-serif}"


@dataclass(frozen=True)
class Drawing:
    """A drawing: its name, what is to be seen in it, its shapes as SVG, and its size in SVG units."""

    title: str
    says: str
    shapes: str
    width: int = 120
    height: int = 90

    def svg(self) -> str:
        """Return the drawing as SVG."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width} {self.height}" role="img">'
            f"<title>{html.escape(self.title)}</title><desc>{html.escape(self.says)}</desc>"
            f"<style>{_STYLE}</style>{self.shapes}</svg>"
        )

    def image(self) -> str:
        """Return the drawing as an image of HTML, with its words as the text alternative."""
        words = html.escape(f"{self.title}: {self.says}", quote=True)
        return f'<img style="width:100%" src="data:image/svg+xml,{quote(self.svg())}" alt="{words}">'


# --- Shapes ---------------------------------------------------------------------------------------


def _path(d: str, fill: str = "none", line: str = INK, thick: float = 1.4, **more: str | float) -> str:
    extra = "".join(f' {key.replace("_", "-")}="{value}"' for key, value in more.items())
    stroke = f'stroke="{line}" stroke-width="{thick:g}" stroke-linejoin="round" stroke-linecap="round"'
    return f'<path d="{d}" fill="{fill}" {stroke}{extra}/>'


def _box(
    x: float,
    y: float,
    w: float,
    h: float,
    fill: str = "none",
    line: str = INK,
    thick: float = 1.4,
    opacity: float = 1.0,
) -> str:
    return _path(f"M{x:g} {y:g}h{w:g}v{h:g}h{-w:g}z", fill, line, thick, opacity=opacity)


def _dot(x: float, y: float, r: float, fill: str, line: str = "none", thick: float = 1.0, opacity: float = 1.0) -> str:
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}" fill="{fill}" stroke="{line}" stroke-width="{thick:g}" '
        f'opacity="{opacity:g}"/>'
    )


def _word(x: float, y: float, text: str, size: float = 8, anchor: str = "middle") -> str:
    return f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="{anchor}" fill="{INK}">{text}</text>'


def _scatter(count: int, x: float, y: float, w: float, h: float) -> Iterator[tuple[float, float]]:
    """Yield points spread evenly, without a pattern, the same each time (the additive sequence of Roberts 2018)."""
    for k in range(1, count + 1):
        yield x + w * (k * 0.7548777 % 1), y + h * (k * 0.5698403 % 1)


def _arrow(x0: float, y0: float, x1: float, y1: float) -> str:
    along = math.atan2(y1 - y0, x1 - x0)
    tips = [(x1 - 5 * math.cos(along + turn), y1 - 5 * math.sin(along + turn)) for turn in (0.5, -0.5)]
    (ax, ay), (bx, by) = tips
    return _path(f"M{x0:g} {y0:g}L{x1:g} {y1:g}M{ax:.1f} {ay:.1f}L{x1:g} {y1:g}L{bx:.1f} {by:.1f}")


# --- Things ---------------------------------------------------------------------------------------


def _part(fill: str = COPPER, gloss: bool = True, x: float = 30, w: float = 60) -> str:
    """A flat part on its wire, seen from the front; gloss is a band of light across it."""
    band = f"M{x + w * 0.12:g} 70L{x + w * 0.55:g} 16h{w * 0.2:g}L{x + w * 0.32:g} 70z"
    light = _path(band, "#FFF", "none", opacity=0.38) if gloss else ""
    return _path(f"M{x + w / 2:g} 2v12") + _box(x, 14, w, 66, fill) + light


def _cut(profile: str, fill: str = COPPER) -> str:
    """A layer on its base, cut through: `profile` is the outline of its top from (8, 76) to (112, 76)."""
    hatch = "".join(f"M{x} 88l6 -8" for x in range(10, 108, 8))
    return _path(f"M8 80{profile}V80z", fill) + _box(8, 80, 104, 8, "none") + _path(hatch, thick=0.7)


def _tank(liquid: str = BLUE, opacity: float = 0.5, level: float = 26) -> str:
    return _box(12, level, 96, 80 - level, liquid, "none", opacity=opacity) + _path("M12 10V80H108V10", thick=2)


def _hung(x: float, w: float, fill: str, bottom: float = 66) -> str:
    return _path(f"M{x + w / 2:g} 4V20") + _box(x, 20, w, bottom - 20, fill)


# --- The faults -----------------------------------------------------------------------------------


def _burnt_edges() -> str:
    rim = "M30 14H90V80H30z M41 28L44 24H77L79 29V64L76 70H45L41 65z"
    grains = "".join(_dot(x, y, 1.1, "#A14A30") for x, y in _scatter(150, 31, 15, 58, 64) if not _well_inside(x, y))
    crumbs = "".join(_dot(x, y, 1.3, "#A14A30") for x, y in _scatter(10, 24, 78, 72, 8))
    return _part() + _path(rim, BURNT, "none", fill_rule="evenodd") + grains + crumbs


def _well_inside(x: float, y: float) -> bool:
    return 40 < x < 80 and 25 < y < 69


def _nodules() -> str:
    down = [(x, y) for y in range(20, 80, 9) for x in (30, 90)] + [(x, 80) for x in range(38, 88, 9)]
    bumps = "".join(_dot(x, y, 3 + (x * 7 + y * 3) % 3, COPPER, INK) for x, y in down)
    lights = "".join(_dot(x - 1.2, y - 1.2, 1.1, "#FFF", opacity=0.6) for x, y in down)
    trees = "".join(
        _path(
            f"M{x} {y}l{14 * s} {7 * t}m{-8 * s} {-4 * t}l{8 * s} {-3 * t}m{-4 * s} {5 * t}l0 {7 * t}",
            "none",
            COPPER,
            2.2,
        )
        for x, s in ((30, -1), (90, 1))
        for y, t in ((80, 1), (14, -1))
    )
    return trees + _part() + bumps + lights


def _grainy(count: int) -> str:
    return "".join(
        _dot(x + 0.5, y + 0.5, 1.7, "#5E331C") + _dot(x, y, 1.3, "#F0B78C") for x, y in _scatter(count, 22, 12, 76, 44)
    )


def _rough() -> str:
    teeth = "".join(f"l2 {-4 - k * 5 % 4}l2 {4 + k * 5 % 4}" for k in range(26))
    return _box(18, 8, 84, 52, COPPER) + _grainy(110) + _cut("V76" + teeth)


def _pits() -> str:
    holes = "".join(
        _dot(x, y, 3.4, "#6B3A1F")
        + _path(f"M{x - 2.6:.1f} {y + 2.2:.1f}a3.4 3.4 0 0 0 5.6 -1.2", line="#FFE3CC", thick=1)
        for x, y in _scatter(14, 24, 14, 72, 40)
    )
    notches = "V70" + "h10a4 5 0 0 0 8 0" * 5 + "H112"
    return _box(18, 8, 84, 52, COPPER) + holes + _cut(notches)


def _streaks() -> str:
    tails = "".join(
        _path(f"M{x - 2:.1f} {y:.1f}L{x:.1f} {max(y - 34, 16):.1f}L{x + 2:.1f} {y:.1f}z", "#8A4A28", "none")
        + _dot(x, y, 2.4, "#4E2814")
        for x, y in ((38, 52), (45, 74), (53, 60), (61, 76), (68, 50), (75, 70), (83, 58))
    )
    return _part(gloss=False) + tails


def _dull() -> str:
    haze = "".join(_dot(x, y, 0.7, "#5F4638") for x, y in _scatter(90, 67, 16, 38, 62))
    star = _path("M40 20v10M35 25h10", line="#FFF", thick=1.6)
    return (
        _part(x=14, w=42) + star + _part(DULL, False, 65, 42) + haze + _word(35, 87, "bright") + _word(86, 87, "dull")
    )


def _brittle() -> str:
    bent = "M14 72L56 22Q60 18 64 22L70 29L65 31L69 36L60 35L58 31L22 79z"
    piece = "M76 36L106 72L98 79L65 40L71 41L70 36z"
    cracks = "M50 29l3 7M56 22l1 8M46 34l4 5"
    return (
        _path(bent, COPPER)
        + _path(piece, COPPER)
        + _path(cracks, line=BURNT, thick=1.2)
        + _path("M24 62L50 31", line="#FFF", thick=2.5, opacity=0.5)
        + _path("M84 48L98 65", line="#FFF", thick=2.5, opacity=0.5)
        + _dot(74, 24, 1.5, COPPER)
        + _dot(79, 29, 1.1, COPPER)
        + _dot(68, 47, 1.3, COPPER)
    )


def _thin_recesses() -> str:
    base = "M14 84V34H46L52 70H68L74 34H106V84z"
    copper = (
        "M8 84V22Q8 18 14 18H47Q53 18 53 26L57 67H63L67 26Q67 18 73 18H106Q112 18 112 22V84"
        "H106V34H74L68 70H52L46 34H14V84z"
    )
    hatch = "".join(f"M{x} 82l8 -11" for x in range(18, 98, 9))
    return _path(copper, COPPER) + _path(base, GREY) + _path(hatch, thick=0.6) + _arrow(60, 6, 60, 60)


def _peeling() -> str:
    bare = _path("M90 14H54L90 52z", GREY)
    curl = _path("M54 14Q50 34 60 40Q76 50 90 52Q72 30 54 14z", SALMON)
    blister = "".join(
        _path(f"M{x - r} {y}a{r} {r * 0.8:g} 0 1 1 {2 * r} 0a{r} {r * 0.45:g} 0 0 1 {-2 * r} 0z", COPPER)
        + _dot(x - r / 3, y - r / 3, 1.6, "#FFF", opacity=0.7)
        for x, y, r in ((44, 62, 7), (66, 70, 5), (42, 42, 4))
    )
    return _part(gloss=False) + bare + curl + blister


def _black_anode_sludge() -> str:
    bag = _path("M18 16V70Q18 75 23 75H37Q42 75 42 70V16", "none", thick=1, stroke_dasharray="2 2")
    mud = "M21 30Q17 34 21 40Q16 48 20 56Q17 66 23 74H38Q43 64 39 56Q44 48 39 42Q43 34 39 28Q35 34 30 30Q25 36 21 30z"
    heap = _path("M14 79Q22 70 34 73Q50 72 62 79z", MUD, thick=0.8)
    flakes = "".join(_dot(x, y, 1.7, MUD, INK, 0.5) for x, y in _scatter(12, 44, 40, 18, 34))
    return (
        _tank()
        + _hung(23, 14, COPPER, 70)
        + _path(mud, MUD, thick=0.8)
        + bag
        + heap
        + flakes
        + _hung(78, 16, SALMON, 60)
    )


def _white_anode_crust() -> str:
    scabs = "".join(
        _path(f"M{x:.1f} {y:.1f}l5 -3l5 2l2 5l-4 4l-6 -1z", WHITE, "#6E6E6E", 0.8)
        for x, y in _scatter(16, 20, 27, 17, 42)
    )
    return _tank() + _hung(22, 22, COPPER, 74) + scabs + _hung(78, 16, SALMON, 60)


def _crystal(x: float, y: float, size: float) -> str:
    """A slanted block with three faces, as copper sulfate grows."""
    s = size
    front = _path(
        f"M{x:g} {y:g}l{s:g} {-0.3 * s:g}l{0.4 * s:g} {0.8 * s:g}l{-s:g} {0.3 * s:g}z", CRYSTAL, "#0B3A73", 0.8
    )
    top = f"M{x:g} {y:g}l{0.5 * s:g} {-0.5 * s:g}l{0.9 * s:g} {-0.1 * s:g}l{-0.4 * s:g} {0.3 * s:g}z"
    return front + _path(top, "#6FB0F0", "#0B3A73", 0.8)


def _blue_crystals() -> str:
    on_anode = "".join(
        _crystal(x, y, s) for x, y, s in ((20, 40, 9), (31, 48, 8), (19, 56, 11), (30, 64, 10), (21, 68, 9))
    )
    on_floor = "".join(
        _crystal(x, y, s) for x, y, s in ((46, 72, 8), (57, 70, 11), (70, 73, 7), (80, 70, 10), (95, 73, 7))
    )
    return _tank(opacity=0.4) + _hung(22, 14, COPPER, 66) + _hung(78, 16, SALMON, 56) + on_anode + on_floor


def _current_falls() -> str:
    axes = _path("M16 8V78H112") + _arrow(104, 78, 112, 78)
    volts = _path("M16 24H106", thick=2, stroke_dasharray="5 3")
    amps = _path("M16 36Q46 38 58 50T106 70", line=COPPER, thick=3.5)
    return (
        axes
        + volts
        + amps
        + _word(106, 20, "volts, set", 9, "end")
        + _word(74, 48, "amps", 9, "start")
        + _word(66, 88, "time")
    )


def _slow_build() -> str:
    def cut(x: float, thick: float, fill: str) -> str:
        return _box(x - thick, 22, thick, 52, fill) + _box(x, 22, 14, 52, GREY) + _box(x + 14, 22, thick, 52, fill)

    clock = _dot(60, 18, 11, "none", INK, 1.4) + _path("M60 18V10M60 18L66 21")
    wanted = cut(24, 10, COPPER) + _word(31, 86, "due")
    got = cut(82, 2.5, COPPER) + _word(89, 86, "got")
    missing = "".join(_box(x, 22, 7.5, 52, line=INK, thick=0.8) for x in (72, 98.5))
    return clock + wanted + missing.replace("<path", '<path stroke-dasharray="2 2"') + got


def _copper_powder() -> str:
    specks = "".join(
        _path(f"M{x:.1f} {y:.1f}l2 -1l1 2z", COPPER, "#7A3F1E", 0.6) for x, y in _scatter(46, 15, 28, 88, 42)
    )
    mud = _path("M13 79V72Q30 66 48 71T84 70T107 72V79z", "#7A452A", "none")
    return _tank(opacity=0.4) + _hung(22, 12, COPPER, 62) + _hung(78, 16, SALMON, 58) + specks + mud


def _matte_salmon() -> str:
    grain = "".join(_dot(x, y, 0.6, "#A9694B") for x, y in _scatter(170, 31, 15, 58, 64))
    return _part(SALMON, False) + grain + _path("M97 50l5 6l10 -14", line=GREEN, thick=3)


def _jar(x: float, w: float, liquid: str, opacity: float = 0.75, level: float = 28) -> str:
    lid = _path(f"M{x - 2:g} 14h{w + 4:g}M{x:g} 14V76q0 4 4 4h{w - 8:g}q4 0 4 -4V14", thick=1.8)
    return _box(x + 1, level, w - 2, 79 - level, liquid, "none", opacity=opacity) + lid


def _green_tint() -> str:
    return (
        _jar(10, 36, BLUE)
        + _arrow(51, 50, 69, 50)
        + _jar(74, 36, GREEN)
        + _word(28, 87, "before")
        + _word(92, 87, "now")
    )


def _cloudy_bath() -> str:
    puffs = "".join(_dot(x, y, 6 + (x * 5 + y) % 5, PALE, opacity=0.85) for x, y in _scatter(34, 20, 36, 80, 34))
    flakes = "".join(_dot(x, y, 1, WHITE) for x, y in _scatter(50, 15, 30, 90, 46))
    heap = _path("M13 79Q36 66 60 72T107 74V79z", "#B9DCE0", "none")
    return _tank(opacity=0.55) + _hung(52, 16, SALMON, 62) + puffs + flakes + heap + _path("M12 10V80H108V10", thick=2)


def _foam() -> str:
    bubbles = "".join(
        _dot(16 + 88 * k / 13, y, 5 - row + (k * 3) % 3, "none" if row else WHITE, INK, 1.1, 1 if row else 0.9)
        for row, y in enumerate((32, 26, 20))
        for k in range(row, 14 - row)
    )
    film = "".join(_path(f"M{x} 40q6 -3 12 0t12 0", line="#B59A3C", thick=1.2) for x in (20, 48, 76))
    return _tank(level=34) + _hung(52, 16, SALMON, 66) + bubbles + film


def _one_side_thick() -> str:
    part = _path("M66 18Q50 20 52 46Q50 70 66 72H80Q83 72 83 70V20Q83 18 80 18z", COPPER) + _box(68, 20, 12, 50, GREY)
    flow = "".join(_arrow(37, y, 48, y) for y in (34, 48, 62))
    return _tank(opacity=0.3, level=12) + _path("M74 2V20") + part + _hung(20, 12, COPPER, 74) + flow


def _fizzing_part() -> str:
    sore = _path("M52 56l5 -5l7 2l4 6l-3 7l-8 2l-6 -5z", "#6D7478", INK, 1)
    skin = _path("M52 56q-6 -2 -7 -9q8 -1 12 4M65 66q6 2 7 9q-9 1 -13 -6", SALMON, INK, 1)
    bubbles = "".join(
        _dot(60 + (2 + 0.7 * k) * math.sin(2.4 * k), 56 - 2.6 * k, 1.3 + 0.12 * k, WHITE, "#3E5A66", 0.9)
        for k in range(16)
    )
    return _tank(level=16, opacity=0.4) + _path("M46 2V26") + _box(36, 26, 48, 50, COPPER) + skin + sore + bubbles


def _face(look: str, says: str, draw: Callable[[], str]) -> Drawing:
    return Drawing(look.capitalize(), says, draw())


LOOKS: dict[str, Drawing] = {
    look: _face(look, says, draw)
    for look, says, draw in (
        (
            "burnt edges",
            "A part with dark brown, powdery copper all round its edges; its middle is sound.",
            _burnt_edges,
        ),
        ("nodules", "Round knobs and small branching trees of copper on the edges and corners of a part.", _nodules),
        ("rough", "A face like sandpaper; cut through, small sharp teeth stand up from the copper.", _rough),
        ("pits", "Small round holes in the face; cut through, hollows go down into the copper.", _pits),
        ("streaks", "Dark stripes that run up the face, each from a point, like the tails of comets.", _streaks),
        ("dull", "Two parts: the left one shines, the right one is dull and greyish where it should shine.", _dull),
        (
            "brittle",
            "A strip of copper that was bent: it has cracked at the bend and a piece has snapped off.",
            _brittle,
        ),
        (
            "thin recesses",
            "A part with a groove, cut through: thick copper outside, next to none deep inside.",
            _thin_recesses,
        ),
        ("peeling", "The copper curls off a corner and shows the grey base; blisters stand elsewhere.", _peeling),
        (
            "black anode sludge",
            "An anode in its bag, covered in loose black mud that lies on the floor too.",
            _black_anode_sludge,
        ),
        ("white anode crust", "An anode in the tank covered in patches of white to grey crust.", _white_anode_crust),
        ("blue crystals", "Blue slanted crystals grown on the anode and on the floor of the tank.", _blue_crystals),
        ("current falls", "A graph over time: the volts stay as set, the amps fall.", _current_falls),
        (
            "slow build",
            "Two parts cut through after the same hours: thick copper was due, a thin skin is there.",
            _slow_build,
        ),
        (
            "copper powder",
            "A tank with specks of copper floating in the bath and brown mud on its floor.",
            _copper_powder,
        ),
        (
            "matte salmon",
            "A part of even, fine, matte salmon colour, with a tick: it is as it should be.",
            _matte_salmon,
        ),
        ("green tint", "Two jars of the bath: blue before, green now.", _green_tint),
        (
            "cloudy bath",
            "A tank with pale blue clouds in it that hide the part, and pale mud on its floor.",
            _cloudy_bath,
        ),
        ("foam", "A tank with a layer of bubbles on the bath and a shining skin of oil under it.", _foam),
        (
            "one side thick",
            "A part cut through in the tank: thick copper towards the only anode, thin behind.",
            _one_side_thick,
        ),
        (
            "fizzing part",
            "A part whose coat has a sore with grey metal in it; gas bubbles rise from there.",
            _fizzing_part,
        ),
    )
}


# --- How to do it ---------------------------------------------------------------------------------


def _lines(x: float, y: float, text: str, size: float = 10) -> str:
    """Words over several lines, parted by |, from their left end."""
    return "".join(_word(x, y + 1.2 * size * k, line, size, "start") for k, line in enumerate(text.split("|")))


def _bent_strip() -> str:
    bath = _box(11, 36, 108, 104, BLUE, "none", opacity=0.4)
    glass = _path("M10 14V136q0 5 5 5H115q5 0 5 -5V14", thick=2)
    anode = _path("M26 4V24") + _box(20, 24, 12, 104, COPPER)
    strip = _path("M98 4V122L62 76", line=SALMON, thick=6)
    burnt, shade = _path("M66 81L62 76", line=BURNT, thick=7), _path("M98 106V122L88 109", line=DULL, thick=6)
    words = (
        _lines(130, 24, "fresh bath, old bath,|half and half: the same|strip and amps in each")
        + _lines(130, 76, "tip, near the anode:|much current: burnt?")
        + _lines(130, 118, "inside of the bend:|little current: dull?")
        + _word(26, 154, "anode", 10)
        + _word(92, 154, "bent strip", 10)
    )
    return bath + anode + strip + shade + burnt + glass + _path("M128 73L70 77M128 115H97", thick=0.9) + words


BENT_STRIP = Drawing(
    "Bent-strip test in a jar",
    "A jar of bath with an anode on the left and a strip on the right whose lower end is folded up towards the anode. "
    "The tip, near the anode, gets much current and burns first; the inside of the bend gets little and stays dull or "
    "bare first. Fresh bath, old bath and half and half get the same strip and the same amps.",
    _bent_strip(),
    250,
    160,
)


def _hydrometer() -> str:
    bath = _path("M11 58Q38 58 46 44V150H11zM76 150V44Q84 58 109 58V150z", BLUE, "none", opacity=0.5)
    film = _path("M11 58Q38 58 46 44M76 44Q84 58 109 58", line=BLUE, thick=2)
    glass = _path("M10 8V150M110 8V150", thick=2)
    stem = _box(46, 4, 30, 146, WHITE)
    marks = "".join(_path(f"M47 {10 + 6 * k}h{10 if k % 5 == 0 else 5}", line="#222", thick=1) for k in range(23))
    numbers = "".join(
        f'<text x="59" y="{12.5 + 30 * k:g}" font-size="7" fill="#222">{1.11 + 0.01 * k:.2f}</text>' for k in range(5)
    )
    level = _path("M4 58H128", line="#D2412E", thick=1.4, stroke_dasharray="5 3")
    eye = _path("M130 58q12 -11 24 0q-12 11 -24 0z", WHITE) + _dot(142, 58, 4, "#222")
    words = _lines(122, 22, "not here: a film|creeps up the stem") + _lines(
        122, 86, "eye level with the bath:|read where the flat of|the liquid cuts the scale,|here 1.126"
    )
    return bath + stem + marks + numbers + film + glass + level + eye + _path("M120 26L80 44", thick=0.9) + words


HYDROMETER = Drawing(
    "Reading a hydrometer",
    "A hydrometer's stem in a cylinder of bath, close up. The liquid creeps up the stem in a curved film. The eye is "
    "level with the flat of the liquid, and the reading, here 1.126, is where that line cuts the scale, below the top "
    "of the film. The numbers grow downwards.",
    _hydrometer(),
    250,
    156,
)


# --- On a page ------------------------------------------------------------------------------------


def gallery(looks: Iterable[str]) -> str:
    """Return the drawings of some looks as HTML, each with its name, as many in a row as there is room for."""
    drawn = [LOOKS[look] for look in looks]
    figures = "".join(
        f'<figure style="margin:0">{one.image()}<figcaption>{html.escape(one.title)}</figcaption></figure>'
        for one in drawn
    )
    grid = "display:grid;gap:.8rem;grid-template-columns:repeat(auto-fill,minmax(8rem,1fr))"
    return f'<div style="{grid}">{figures}</div>'


def large(drawing: Drawing) -> str:
    """Return one drawing as HTML, as wide as its place, up to where its words are of the size of the page's."""
    return f'<figure style="margin:0;max-width:26rem">{drawing.image()}</figure>'
