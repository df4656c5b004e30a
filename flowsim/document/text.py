"""Text that may stand in a document: nothing in it can steer a terminal or a viewer."""

import unicodedata

from flowsim.document.words.telling import told
from flowsim.studies.saying import Said


def clean(text: Said) -> str:
    """Give text from a case as it may stand on a terminal: one line, printable characters only.

    Parameters
    ----------
    text : Saying or str
        A saying is told.

    Returns
    -------
    str
        Control characters, escape sequences, direction marks and half surrogates become "?"; line
        breaks and tabs become a blank.
    """
    plain = []
    for character in told(text):
        if character in "\t\n\r\v\f\x85\u2028\u2029":
            plain.append(" ")
        elif unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co", "Cn"):
            plain.append("?")
        else:
            plain.append(character)
    return "".join(plain)
