"""The spread of a stated number: the builder's, or the usual one, which is then listed."""

from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.toml.lines import KeyPath
from flowsim.physics.losses.fitting_catalogue import BORE_BAND
from flowsim.system.bands import Band, Exact, Normal, Triangular

STATED = Normal(0.10)
"""Usual spread of a coefficient that the builder states (common practice, no source)."""

MEASURED = Normal(0.05)
"""Usual spread of what the builder measured (common practice, no source)."""

_WORDS = "one standard deviation, common practice, no source"
_LARGEST = 0.3


def accuracy_band(given: Given | None, path: KeyPath, ledger: Ledger) -> Band | None:
    """Give the spread that the builder states as ``accuracy``.

    Parameters
    ----------
    given
        The value, or None.
    path
        Its path.
    ledger
        Receives the mistake of an accuracy that leaves nothing of the value.

    Returns
    -------
    Band or None
        None where no accuracy is stated.
    """
    if given is None or given.accuracy is None or not given.value > 0.0:
        return None
    share = given.accuracy / given.value
    if share > _LARGEST:
        ledger.mistake(
            path,
            f"the accuracy is {100.0 * share:.0f} % of the value, {given.text}",
            "measure it better; at most 30 % is plausible",
        )
        return None
    return Normal(share)


def factor_band(
    factors: tuple[float, float] | None,
    given: Given | None,
    usual: Band,
    places: tuple[KeyPath, KeyPath],
    ledger: Ledger,
) -> Band:
    """Give the spread of a part's loss or coefficient.

    Parameters
    ----------
    factors
        Lowest and highest factor as stated, or None.
    given
        The number that the spread is of, or None where it is a usual value.
    usual
        The spread if none is stated.
    places
        Path of the part, and of the number.
    ledger
        Receives mistakes, and the usual spread of a stated number.

    Returns
    -------
    Band
        Of a factor about one.
    """
    part, number = places
    if factors is not None:
        low, high = factors
        if not 0.0 < low <= 1.0 <= high:
            problem = "the factors do not lie on both sides of 1"
            ledger.mistake((*part, "band"), problem, "write for example [0.8, 1.3]")
        return Exact() if low == high else Triangular(low, 1.0, high)
    stated = accuracy_band(given, number, ledger)
    if stated is not None:
        return stated
    if isinstance(usual, Normal):
        ledger.default(part, f"spread {100.0 * usual.deviation:.0f} %", _WORDS)
    return usual


def bore_band(given: Given | None, path: KeyPath, ledger: Ledger) -> Band:
    """Give the spread of a bore: the builder's accuracy, or the usual 1 %.

    Parameters
    ----------
    given
        The bore, or None where it follows from tube and wall.
    path
        Path of the bore.
    ledger
        Receives mistakes.

    Returns
    -------
    Band
        Of a factor on the bore.
    """
    return accuracy_band(given, path, ledger) or BORE_BAND
