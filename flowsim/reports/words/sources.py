"""The sources that are named in short beside a law or a value, written out in full."""

from collections.abc import Iterable

FULL: tuple[tuple[str, str], ...] = (
    (
        "23.955",
        "US Code of Federal Regulations, title 14, part 23, sections 23.955 (fuel flow), "
        "23.957 (flow between interconnected tanks), 23.959 (unusable fuel supply), 23.975 "
        "(vents) and 23.999 (drains), as they stood before amendment 23-64 (in force 2017), "
        "which replaced the first by 23.2430. The edition before that amendment is meant "
        "throughout.",
    ),
    (
        "AC 90-89",
        "Federal Aviation Administration, Advisory Circular AC 90-89A, Amateur-Built Aircraft "
        "and Ultralight Flight Testing Handbook, 24 May 1995, chapter on ground tests, fuel "
        "flow and unusable fuel. Later edition: AC 90-89B, 27 April 2015; its page on fuel "
        "flow was not read.",
    ),
    (
        "AC 43.13-1B",
        "Federal Aviation Administration, Advisory Circular AC 43.13-1B, Acceptable Methods, "
        "Techniques, and Practices: Aircraft Inspection and Repair, 8 September 1998 (date "
        "from memory), chapter 9, tables as named.",
    ),
    (
        "Rennels",
        "Rennels, D. C., and Hudson, H. M.: Pipe Flow: A Practical and Comprehensive Guide, "
        "1st edition, Wiley, 2012, chapters 9 to 16 (entrances, contractions, expansions, "
        "bends, tees), as coded in the fluids library; chapter numbers from memory.",
    ),
    (
        "Hooper",
        "Hooper, W. B.: The Two-K Method Predicts Head Losses in Pipe Fittings, Chemical "
        "Engineering 88, 24 August 1981, pages 96 to 100; title and last page from memory.",
    ),
    (
        "Darby",
        "Darby, R.: Friction Loss in Pipe Fittings, Chemical Engineering 106, July 1999, page "
        "101; title from memory.",
    ),
    (
        "Crane",
        "Crane Co.: Flow of Fluids Through Valves, Fittings, and Pipe, Technical Paper No. "
        "410, appendix A; edition not known here (the coefficients have been the same since "
        "1976, from memory).",
    ),
    (
        "Miller",
        "Miller, D. S.: Internal Flow Systems, 2nd edition, BHRA, 1990; page not known here.",
    ),
    (
        "Blevins",
        "Blevins, R. D.: Applied Fluid Dynamics Handbook, Van Nostrand Reinhold, 1984; "
        "publisher from memory, page not known here.",
    ),
    (
        "Idelchik",
        "Idelchik, I. E.: Handbook of Hydraulic Resistance, 3rd edition, Begell House, from "
        "memory; page not known here.",
    ),
    (
        "Borda",
        "The expansion law of Borda and Carnot, in any text on hydraulics: loss of head (v1 - "
        "v2)^2/(2 g).",
    ),
    (
        "friction",
        "Colebrook, C. F.: Turbulent Flow in Pipes, with particular reference to the "
        "transition region, Journal of the Institution of Civil Engineers 11, 1939, pages 133 "
        "to 156; Clamond, D.: Efficient Resolution of the Colebrook Equation, Industrial and "
        "Engineering Chemistry Research 48, 2009, page 3665; Churchill, S. W., Chemical "
        "Engineering 84, 7 November 1977, page 91. From memory except where the fluids "
        "library repeats them.",
    ),
    (
        "Vapour pressure",
        "US Environmental Protection Agency: AP-42, Compilation of Air Pollutant Emission "
        "Factors, 5th edition, chapter 7.1, Organic Liquid Storage Tanks (true vapour "
        "pressure of petrol from Reid's).",
    ),
    (
        "MIL-H-8794",
        "MIL-H-8794, Hose, Rubber, Hydraulic, Fuel and Oil Resistant, through AC 43.13-1B, "
        "table 9-3.",
    ),
    (
        "Atmosphere",
        "ISO 2533:1975, Standard Atmosphere; the same as US Standard Atmosphere, 1976, below "
        "32 km.",
    ),
)
"""Word by which a source is named in short, and its author, title, edition and page.

What could not be looked up is said to be from memory.
"""
ALWAYS_USED = ("23.955", "AC 90-89", "AC 43.13-1B", "friction", "Vapour pressure", "Atmosphere")


def full_sources(named: Iterable[str]) -> tuple[str, ...]:
    """Write out the sources that some short ones name.

    Parameters
    ----------
    named : iterable of str
        As they stand beside parts, findings and values.

    Returns
    -------
    tuple of str
        In the order of the list, those that every case leans on included.
    """
    text = " ".join(named)
    return tuple(full for word, full in FULL if word in ALWAYS_USED or word in text)
