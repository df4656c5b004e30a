"""Refuse impossible numbers before a law meets them."""

import math

from flowsim.errors import DomainError


def require_positive(name: str, what: str, value: float) -> None:
    """Refuse a value that is not a finite number above zero.

    Parameters
    ----------
    name : str
        The part, in the builder's words.
    what : str
        What the value is, with its unit in the caller's terms.
    value : float
        The value, any unit.

    Raises
    ------
    DomainError
        When it is zero, negative, infinite or NaN.
    """
    if not 0.0 < value < math.inf:
        raise DomainError(f'"{name}": {what} {value} must be a finite number above 0')
