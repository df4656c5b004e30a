"""The case that ``new`` writes: commented, invented, and complete."""

from importlib import resources

_LONGEST_TITLE = 200


def starter_text(title: str) -> str:
    """Give the text of a starter case.

    Parameters
    ----------
    title
        Its title; anything that TOML text cannot hold is left out.

    Returns
    -------
    str
        TOML with a comment at every choice; it reads without mistakes.
    """
    folder = resources.files("flowsim.files.case")
    text = folder.joinpath("starter.toml").read_text(encoding="utf-8")
    plain = "".join(c for c in title if c.isprintable()).strip()[:_LONGEST_TITLE]
    quoted = plain.replace("\\", "\\\\").replace('"', '\\"')
    return text.replace("@TITLE@", quoted or "My fuel system")
