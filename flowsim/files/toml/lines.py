"""Where things stand in a TOML text, as lines for messages."""

from flowsim.files.toml.spans import KeyPath, spans_of

__all__ = ["KeyPath", "key_lines"]


def key_lines(text: str) -> dict[KeyPath, int]:
    r"""Map each path of a TOML text to the line on which it first stands.

    Parameters
    ----------
    text
        Valid TOML.

    Returns
    -------
    dict
        Path (keys, and indices from 0 in lists and arrays of tables) to 1-based line.
    """
    return spans_of(text).lines
