"""Drawings that are made of numbers: scales of a syringe and a burette, colours of an end point, rows of jars.

A person compares them with what is in the hand: the marks stand where those of the tool stand, by its division in the
table of tools, the colours are those of the planned flask, and the jars are as many as a card asks for. Each function
returns SVG in the form of the files here.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from advisor.bench.end_point import STAGES, EndPointFlask
from advisor.readings.tools import find_tool

STYLE = (
    "<style>svg{--ink:#1D2A2F;--glass:#F4F1EA;--liquid:#5AA7D6;--look:#9C4A1A;--copper:#CB7B48;color:var(--ink)}"
    "@media (prefers-color-scheme:dark){svg{--ink:#EAF0F1;--glass:#2A363B;--look:#E9A172}}"
    "text{font:10px sans-serif;fill:currentColor}"
    ".l{fill:none;stroke:currentColor;stroke-width:1.4;stroke-linecap:round;stroke-linejoin:round}"
    ".look{fill:none;stroke:var(--look);stroke-width:1.4;stroke-linecap:round}"
    "b,.now{font-weight:700;fill:var(--look)}.on{fill:#1D2A2F;font-size:9px}</style>"
)
ON_LIQUID = "#1D2A2F"  # marks on the liquid, which is of one blue in light and dark
ON_DARK = "#EAF0F1"  # glass before dark paper
PALE, DEEP = (224, 236, 244), (56, 133, 185)  # the blue of the weakest jar and of the strongest (judgement)
CLEAR, CLOUD = (111, 163, 191), (240, 245, 248)  # the same of jars without a cloud and with the thickest (judgement)
DARK_PAPER = "dark paper, light from the side, five minutes"
WHITE_PAPER = "same width, same depth, white paper, daylight"
_SYRINGE_AT, _BURETTE_AT = 13.6, 4.4  # divisions, where each is read: between two marks (judgement)
_APART, _BELOW = 8.0, 11.4  # of the marks, along a syringe and down a burette, in units of the drawing (judgement)


def tool(name: str) -> str:
    """Return how to read a tool of a name, such as "10 mL syringe" or "50 mL class B burette"."""
    row = find_tool(name)
    assert row is not None
    division = float(row["division_mL"])
    return _syringe(name, division) if "syringe" in name else _burette(name, division, float(row["nominal_mL"]))


def _svg(height: int, title: str, says: str, shapes: Iterable[str]) -> str:
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 250 {height}" role="img">'
    return "\n".join((head, f"<title>{title}</title>", f"<desc>{says}</desc>", STYLE, *shapes, "</svg>"))


def _syringe(name: str, division: float) -> str:
    """Return a syringe that lies level, from its tip to a break behind the plunger; division: of its scale [mL]."""
    read, each = f"{_SYRINGE_AT * division:g}", 2 if division == 0.5 else 5
    edge, first = 40 + _APART * _SYRINGE_AT, 40  # where the plunger ends, and the mark of 0
    shapes = [
        f'<path d="M20 40H{edge:.1f}V84H20z" fill="var(--liquid)"/>',
        f'<path d="M{edge:.1f} 40l9 22l-9 22h32v-44z" fill="currentColor" opacity=".55"/>',
        f'<path d="M{edge + 32:.1f} 54H242v16H{edge + 32:.1f}z" fill="var(--glass)" stroke="currentColor"'
        ' stroke-width="1.4"/>',
        '<path d="M8 58H20V40H213M8 66H20V84H213" class="l"/>',
        '<path d="M216 34l-6 12l10 -2l-5 10M216 90l-6 -12l10 2l-5 -10" class="l"/>',  # the break
        f'<path d="M{edge:.1f} 40V84M{edge + 16:.1f} 40V84" class="l" style="stroke-width:2.4"/>',
    ]
    for mark in range(int(_SYRINGE_AT) + 1):
        x, length = first + _APART * mark, 6 if mark % each else 12
        shapes.append(f'<path d="M{x:g} 40v{length}" stroke="{ON_LIQUID}" stroke-width="1"/>')
        if mark % each == 0:
            shapes.append(f'<text x="{x:g}" y="64" text-anchor="middle" class="on">{mark * division:g}</text>')
    shapes += [
        f'<path d="M{edge:.1f} 18V38" class="look" style="stroke-dasharray:4 3"/>',
        f'<text x="{edge:.1f}" y="12" text-anchor="middle" class="now">read at this edge: {read} mL</text>',
        f'<path d="M{edge + 16:.1f} 88V100" class="l"/>',
        f'<text x="{edge + 16:.1f}" y="112" text-anchor="middle">not this ring</text>',
        '<text x="60" y="112" text-anchor="middle">no air in here</text>',
        '<path d="M60 86V100" class="l"/>',
    ]
    says = (
        "A syringe lying level, close up, cut off behind the plunger, which ends in a rubber cone with two rings. The "
        f"volume is read at the ring nearest to the liquid, where it touches the wall, here {read} millilitres between "
        f"two marks that are {division:g} apart: not at the tip of the cone and not at the back ring. No air is left "
        "below the plunger."
    )
    return _svg(120, f"Reading a {name}", says, shapes)


def _burette(name: str, division: float, nominal: float) -> str:
    """Return a part of a burette with the liquid's curve in it; division: of its scale [mL]."""
    top = round(nominal / 4)  # the mark at the upper end of the picture
    read, y = f"{top + _BURETTE_AT * division:.2f}", 10 + _BELOW * _BURETTE_AT
    rim, each = y - 9, 10 if division == 0.05 else 5  # where the curve meets the glass, and marks to the next number
    shapes = [
        f'<path d="M40 {rim:.1f}q22 18 44 0V140H40z" fill="var(--liquid)"/>',
        '<path d="M40 6V140M84 6V140" class="l"/>',
        '<path d="M34 6l9 -4M81 8l9 -4M34 142l9 -4M81 144l9 -4" class="l"/>',
        f'<path d="M40 {rim:.1f}q22 18 44 0" class="l"/>',
    ]
    for mark in range(12):
        level, length = 10 + _BELOW * mark, 8 if mark % each else 14
        ink = "currentColor" if level < y else ON_LIQUID
        shapes.append(f'<path d="M40 {level:.1f}h{length}" stroke="{ink}" stroke-width="1"/>')
        if mark % each == 0:
            text, fill = f"{top + mark * division:g}", "" if level < y else ' class="on"'
            shapes.append(f'<text x="68" y="{level + 3.5:.1f}" text-anchor="middle"{fill}>{text}</text>')
    shapes += [
        f'<path d="M20 {y:.1f}H150" class="look" style="stroke-dasharray:5 3"/>',
        f'<path d="M152 {y:.1f}q12 -11 24 0q-12 11 -24 0z" class="l"/>',
        f'<circle cx="164" cy="{y:.1f}" r="3.6" fill="currentColor"/>',
        '<text x="120" y="26">higher at the glass:</text><text x="120" y="38">not here</text>',
        f'<path d="M116 34L88 {rim - 1:.1f}" class="l"/>',
        '<text x="106" y="94" class="now">eye level with the</text>',
        f'<text x="106" y="106" class="now">bottom: {read} mL</text>',
        '<text x="106" y="132">a white card behind helps</text>',
    ]
    says = (
        "A part of a burette, close up. The liquid stands in a curve, higher at the glass. The eye is level with the "
        f"bottom of the curve, and the reading, here {read} millilitres, is where that bottom cuts the scale, whose "
        f"marks are {division:g} apart: the numbers grow downwards. From above or below the reading would be wrong."
    )
    return _svg(146, f"Reading a {name}", says, shapes)


def end_point(flask: EndPointFlask) -> str:
    """Return the colours of an end point with methyl orange as named patches, with the copper and without."""
    shapes: list[str] = []
    left, wide = 4, 61
    for column, (stage, *_) in enumerate(STAGES):
        mark = ' class="now"' if "stop" in stage else ""
        shapes.append(f'<text x="{left + wide * column + 28.5}" y="12" text-anchor="middle"{mark}>{stage}</text>')
    where = "in your flask, over copper's blue" if flask.is_over_copper else "in your flask, which holds little copper"
    rows = ((True, 18, 34, where), (False, 84, 18, "without copper, to compare"))
    for with_copper, top, high, words in rows:
        names = flask.names if with_copper else tuple(plain for *_, plain in STAGES)
        for column, (fill, name) in enumerate(zip(flask.colours(with_copper), names, strict=True)):
            x = left + wide * column
            shapes.append(f'<path d="M{x} {top}h57v{high}h-57z" fill="{fill}" stroke="currentColor"/>')
            shapes.append(f'<text x="{x + 28.5}" y="{top + high + 12}" text-anchor="middle">{name}</text>')
        shapes.append(f'<text x="125" y="{top + high + 24}" text-anchor="middle" style="font-size:9px">{words}</text>')
    colours = ", ".join(f"{stage} {name}" for (stage, *_), name in zip(STAGES, flask.names, strict=True))
    plain = ", ".join(without for *_, without in STAGES)
    says = f"Patches of colour, {where}: {colours}. Without copper they would be {plain}."
    return _svg(130, "The end point with methyl orange", says, shapes)


def jars(called: Sequence[str], cloudy: bool) -> str:
    """Return a row of jars from weak to strong as they are called, the bath's, without a name, among them."""
    pitch = 242 / len(called)
    paper = (
        '<path d="M4 20H246V86H4z" fill="#1D2A2F" stroke="currentColor"/>'
        if cloudy
        else '<path d="M4 78H246V90H4z" fill="#FFFFFF" stroke="currentColor"/>'
    )
    # On paper of one colour in light and dark, so that the glass is too.
    glass, wide = ON_DARK if cloudy else "currentColor", pitch - 6
    shapes = [paper]
    for place, name in enumerate(called):
        left, share = 7 + pitch * place, place / (len(called) - 1)
        fill = _between(CLEAR, CLOUD, share) if cloudy else _between(PALE, DEEP, share)
        shapes.append(f'<path d="M{left:.1f} 40h{wide:.1f}V76h{-wide:.1f}z" fill="{fill}"/>')
        shapes.append(f'<path d="M{left:.1f} 26V77h{wide:.1f}V26" class="l" style="stroke:{glass}"/>')
        shapes.append(f'<text x="{left + wide / 2:.1f}" y="102" text-anchor="middle">{name}</text>')
    first, baths = called.index(""), called.count("")
    left, right = 4.5 + pitch * first, 4.5 + pitch * (first + baths) - 1
    shapes += [
        f'<path d="M{left:.1f} 22H{right:.1f}V82H{left:.1f}z" class="look" style="stroke-dasharray:5 3"/>',
        f'<text x="{(left + right) / 2:.1f}" y="14" text-anchor="middle" class="now">your bath</text>',
        f'<text x="125" y="116" text-anchor="middle">{DARK_PAPER if cloudy else WHITE_PAPER}</text>',
    ]
    names, unit = ", ".join(filter(None, called)), "mg/L of chloride" if cloudy else "g/L"
    looks = "each cloudier than the last, before dark paper" if cloudy else "each bluer than the last, on white paper"
    says = f"Jars of the same width, filled to the same depth, {looks}: {names} {unit}. Among them stands your bath."
    return _svg(120, "A ladder of cloudy jars" if cloudy else "A row of jars", says, shapes)


def _between(low: tuple[int, int, int], high: tuple[int, int, int], share: float) -> str:
    """Return a colour between two, "#rrggbb"."""
    return "#" + "".join(f"{round(a + share * (b - a)):02x}" for a, b in zip(low, high, strict=True))
