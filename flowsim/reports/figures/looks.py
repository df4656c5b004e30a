"""The pictures' style sheet: one set of classes, with colours for light paper and for dark screens.

Dashes, hatches and marks tell things apart; colour only helps. The light colours keep their order
of brightness in grey.
"""

from flowsim.reports.figures.drawing import Drawing

FONTS = "Helvetica,Arial,sans-serif"
"""Of a picture in a file of its own."""
LIGHT = {
    "ink": "#1c1c1a",
    "soft": "#55544f",
    "rule": "#c9c7bf",
    "paper": "#ffffff",
    "tint": "#efeee8",
    "band": "#d3d1c7",
    "mark": "#8c2f14",
    "fuel": "#a9bfcc",
    "m0": "#3b3a37",
    "m1": "#807e77",
    "m2": "#aaa8a0",
    "m3": "#d0cec6",
    "m4": "#f1f0ea",
}
DARK = {
    "ink": "#eceae3",
    "soft": "#b4b1a8",
    "rule": "#4b4a46",
    "paper": "#191917",
    "tint": "#262522",
    "band": "#45433d",
    "mark": "#ff9c74",
    "fuel": "#41606f",
    "m0": "#f1f0ea",
    "m1": "#b5b3ab",
    "m2": "#85837b",
    "m3": "#55534d",
    "m4": "#2b2a27",
}

_SHEET = """
.tx{fill:var(--ink)}
.ts{fill:var(--soft)}
.tm{fill:var(--mark);font-weight:bold}
.tb{fill:var(--ink);font-weight:bold}
.tx,.ts,.tm,.tb{paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}
.gd{stroke:var(--rule);stroke-width:1;fill:none}
.ax{stroke:var(--soft);stroke-width:1.2;fill:none}
.c0,.c1,.c2,.c3,.c4,.c5,.c6,.c7,.c8,.c9,.c10,.c11{stroke:var(--ink);stroke-width:2;fill:none;stroke-linejoin:round}
.c6,.c7,.c8,.c9,.c10,.c11{stroke-width:1.1}
.c1,.c7{stroke-dasharray:7 3}
.c2,.c8{stroke-dasharray:2 3}
.c3,.c9{stroke-dasharray:9 3 2 3}
.c4,.c10{stroke-dasharray:14 3}
.c5,.c11{stroke-dasharray:9 3 2 3 2 3}
.cl{stroke-width:1.1;stroke:var(--soft);fill:none}
.rq{stroke:var(--mark);stroke-width:3;fill:none}
.bn{stroke:var(--mark);stroke-width:1.6;stroke-dasharray:6 4;fill:none}
.at{stroke:var(--ink);stroke-width:1.4;stroke-dasharray:1 3;fill:none}
.te{stroke:var(--ink);stroke-width:1.8;fill:none}
.jd{fill:var(--tint)}
.bd{fill:var(--band)}
.sg{fill:var(--paper);stroke:var(--ink);stroke-width:1.3}
.sf{fill:var(--ink);stroke:var(--ink);stroke-width:1}
.bx{fill:var(--paper);stroke:var(--ink);stroke-width:1.6}
.b1{fill:var(--ink)}
.b2{fill:var(--band)}
.ln{stroke:var(--ink);stroke-width:2.6;fill:none;stroke-linejoin:round}
.lu{stroke:var(--ink);stroke-width:2;fill:none;stroke-dasharray:6 4}
.tk{fill:none;stroke:var(--ink);stroke-width:1.6;stroke-linejoin:round}
.tf{fill:var(--paper);stroke:var(--ink);stroke-width:1.6}
.fu{fill:var(--fuel);stroke:none;fill-opacity:.75}
.su{stroke:var(--mark);stroke-width:2;fill:none}
.m0{fill:var(--m0)}.m1{fill:var(--m1)}.m2{fill:var(--m2)}.m3{fill:var(--m3)}.m4{fill:var(--m4)}
.mx{fill:var(--paper);stroke:var(--rule);stroke-width:.5}
.hl{stroke:var(--paper);stroke-width:1.4;fill:none}
.hd{fill:var(--ink)}
.fr{fill:none;stroke:var(--ink);stroke-width:1.6}
"""


def sheet() -> str:
    """Give the classes with their colours as variables, for the page."""
    return _SHEET


def fixed_sheet(fonts: str) -> str:
    """Give the classes in light colours that stand alone, for the PDF and for files."""
    made = _SHEET
    for name, colour in LIGHT.items():
        made = made.replace(f"var(--{name})", colour)
    return made + f"text{{font-family:{fonts}}}"


def alone(drawing: Drawing, name: str, alt: str) -> str:
    """Give a drawing as the text of a file that needs nothing else, on white paper."""
    paper = f'<rect width="100%" height="100%" fill="{LIGHT["paper"]}"/>'
    drawing.items.insert(0, paper)
    return drawing.svg(name, alt, fixed_sheet(FONTS)) + "\n"


def variables(colours: dict[str, str]) -> str:
    """Give colours as declarations of variables."""
    return "".join(f"--{name}:{value};" for name, value in colours.items())
