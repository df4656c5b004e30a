"""The drawing of axes and datum on the measuring sheet: an aeroplane of nobody's design."""

from html import escape

ALT = (
    "A high-wing aeroplane from the left and from behind: station runs aft, waterline up and "
    "buttline to the right from the datum; pitch is positive with the nose up."
)
INK, SOFT, PALE = "#1c1c1a", "#6b6b6b", "#d9d9d9"
_SIZE = 14


def axes_svg() -> str:
    """Give the drawing: from the left and from behind, with the axes and the pitch.

    Returns
    -------
    str
        SVG, 720 by 300 pixels, in shades of grey.
    """
    items = [*_side(), *_behind(), *_pitch()]
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 720 300" width="720" height="300">'
        f"{''.join(items)}</svg>"
    )


def _path(points: str, *, closed: bool = True, fill: str = "none", width: float = 1.4) -> str:
    end = " Z" if closed else ""
    return (
        f'<path d="M {points}{end}" fill="{fill}" stroke="{INK}" stroke-width="{width}" '
        'stroke-linejoin="round"/>'
    )


def _circle(x: float, y: float, radius: float, fill: str = "none") -> str:
    return (
        f'<circle cx="{x}" cy="{y}" r="{radius}" fill="{fill}" stroke="{INK}" stroke-width="1.4"/>'
    )


def _text(x: float, y: float, text: str, anchor: str = "start", shade: str = INK) -> str:
    return (
        f'<text x="{x}" y="{y}" font-family="Libertinus Serif" font-size="{_SIZE}" fill="{shade}" '
        f'text-anchor="{anchor}">{escape(text)}</text>'
    )


def _arrow(x1: float, y1: float, x2: float, y2: float) -> str:
    """Give an arrow along an axis of the page."""
    across = x1 != x2
    sign = 1 if (x2 > x1 if across else y2 > y1) else -1
    tip = (
        f"{x2},{y2} {x2 - 9 * sign},{y2 - 4} {x2 - 9 * sign},{y2 + 4}"
        if across
        else f"{x2},{y2} {x2 - 4},{y2 - 9 * sign} {x2 + 4},{y2 - 9 * sign}"
    )
    return (
        f'<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" stroke="{INK}" stroke-width="2"/>'
        f'<polygon points="{tip}" fill="{INK}"/>'
    )


def _dashed(x1: float, y1: float, x2: float, y2: float) -> str:
    return (
        f'<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" stroke="{SOFT}" stroke-width="1" '
        'stroke-dasharray="5 3"/>'
    )


def _datum(x: float, y: float) -> str:
    return (
        f'<circle cx="{x}" cy="{y}" r="7" fill="#ffffff" stroke="{INK}" stroke-width="1.6"/>'
        f'<path d="M {x} {y - 7} A 7 7 0 0 1 {x + 7} {y} L {x} {y} Z" fill="{INK}"/>'
        f'<path d="M {x} {y + 7} A 7 7 0 0 1 {x - 7} {y} L {x} {y} Z" fill="{INK}"/>'
    )


def _side() -> list[str]:
    """Draw it from the left: nose to the left, so that aft is to the right."""
    body = (
        "30 132 L 62 116 L 96 112 L 112 92 L 168 90 L 318 118 L 322 132 L 168 150 L 72 150 L 30 146"
    )
    return [
        _text(8, 20, "from the left"),
        _path(body, fill="#f4f4f2"),
        _path("96 88 L 166 82 L 186 86 L 166 91", fill=PALE),
        _path("296 116 L 312 78 L 328 78 L 324 120"),
        _circle(88, 170, 10),
        _path("92 150 L 88 160", closed=False),
        _circle(312, 146, 5),
        _path("26 118 L 26 160", closed=False, width=2.4),
        _dashed(72, 62, 72, 205),
        _dashed(20, 150, 345, 150),
        _datum(72, 150),
        _arrow(72, 196, 150, 196),
        _text(156, 200, "station + (aft)"),
        _arrow(72, 150, 72, 56),
        _text(80, 62, "waterline + (up)"),
        _text(84, 222, "datum: here the firewall's lower edge", shade=SOFT),
        _text(146, 76, "tank", "middle", SOFT),
    ]


def _behind() -> list[str]:
    """Draw it from behind, so that right is to the right."""
    return [
        _text(372, 20, "from behind"),
        _path("372 92 L 520 100 L 668 92 L 668 98 L 520 108 L 372 98", fill=PALE),
        _path("498 106 L 542 106 L 546 142 L 536 152 L 504 152 L 494 142", fill="#f4f4f2"),
        _path("504 152 L 488 168", closed=False),
        _path("536 152 L 552 168", closed=False),
        _circle(486, 170, 7),
        _circle(554, 170, 7),
        _dashed(520, 50, 520, 205),
        _dashed(400, 152, 680, 152),
        _datum(520, 152),
        _arrow(520, 196, 600, 196),
        _text(606, 200, "buttline + (right)"),
        _arrow(520, 152, 520, 56),
        _text(528, 62, "waterline + (up)"),
        _text(400, 222, "left is negative; 0 is the middle of the aeroplane", shade=SOFT),
    ]


def _pitch() -> list[str]:
    """Draw pitch: the datum line against level, nose to the left as above."""
    return [
        _text(8, 252, "pitch"),
        _dashed(60, 284, 330, 284),
        _path("330 284 L 62 254", closed=False, width=2),
        _path("170 284 A 160 160 0 0 1 171 266", closed=False),
        _text(92, 278, "nose up +"),
        _text(338, 288, "level", shade=SOFT),
        _text(338, 262, "the fuel system's datum line, nose to the left", shade=SOFT),
    ]
