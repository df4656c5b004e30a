"""A scrambled Sobol sequence without the statistics package around it, whose import takes longer.

The sequence and its scrambling are those of ``scipy.stats.qmc.Sobol`` to the last bit
(``tests/unit/studies/sampling/test_sobol_sequence.py``); its table of direction numbers is read
where it lies. Should a later version keep it elsewhere, the package itself is asked.
"""

from functools import cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import numpy.typing as npt

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray

BITS = 30
"""Binary digits of each coordinate; as many powers of two of points are distinct."""
TABLE = "stats/_sobol_direction_numbers.npz"

_Whole = npt.NDArray[np.uint32]


def scrambled_sobol(dimensions: int, points: int, seed: int) -> FloatArray:
    """Give the first points of a scrambled Sobol sequence.

    Parameters
    ----------
    dimensions : int
        At least 1.
    points : int
        A power of two, at most 2**30: only then is every coordinate evenly spread.
    seed : int
        Of the scrambling.

    Returns
    -------
    FloatArray (point, dimension)
        [-] Within 0 to 1, 1 excluded.

    Raises
    ------
    DomainError
        When the number of points is no power of two.

    References
    ----------
    I. M. Sobol, USSR Comput. Math. Math. Phys. 7 (1967) 86; direction numbers of S. Joe and F. Y.
    Kuo, SIAM J. Sci. Comput. 30 (2008) 2635; scrambling by random lower triangular matrices and a
    digital shift: J. Matousek, J. Complexity 14 (1998) 527.
    """
    if points < 1 or points & (points - 1) or points > 2**BITS:
        raise DomainError(f"{points} points of a Sobol sequence are no power of two")
    generator = np.random.default_rng(seed)
    table = _table()
    if table is None or dimensions > len(table[0]):
        from scipy.stats import qmc

        return np.asarray(qmc.Sobol(dimensions, rng=generator).random(points), dtype=np.float64)
    generator = generator.spawn(1)[0]  # as the package does
    shift = generator.integers(2, size=(dimensions, BITS), dtype=np.uint32) @ (
        2 ** np.arange(BITS, dtype=np.uint32)
    )
    size = (dimensions, BITS, BITS)
    lower = np.tril(generator.integers(2, size=size, dtype=np.uint32))
    directions = _scrambled(_directions(table, dimensions), lower)
    whole = np.empty((points, dimensions), dtype=np.uint32)
    whole[0] = shift
    for digit in range(points.bit_length() - 1):
        half = 1 << digit  # in the order of Gray's code the second half mirrors the first
        whole[half : 2 * half] = whole[half - 1 :: -1] ^ directions[:, digit]
    return whole.astype(np.float64) * 2.0**-BITS


@cache
def _table() -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]] | None:
    """Polynomials (dimension,) and first direction numbers (dimension, degree); None if absent."""
    found = find_spec("scipy")
    places = [] if found is None else list(found.submodule_search_locations or ())
    for place in places:
        path = Path(place) / TABLE
        if path.is_file():
            with np.load(path) as table:
                return table["poly"], table["vinit"]
    return None


def _directions(
    table: tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]], dimensions: int
) -> _Whole:
    """Direction numbers (dimension, digit), the first digit the most significant.

    Each follows from as many before it as its primitive polynomial has degrees (Bratley and Fox,
    ACM Trans. Math. Softw. 14 (1988) 88).
    """
    polynomials, first = table
    found = np.ones((dimensions, BITS), dtype=np.int64)
    for row in range(1, dimensions):
        polynomial = int(polynomials[row])
        degree = polynomial.bit_length() - 1
        numbers = first[row, :degree].tolist()
        for digit in range(degree, BITS):
            number = numbers[digit - degree]
            for back in range(1, degree + 1):
                if polynomial >> (degree - back) & 1:
                    number ^= numbers[digit - back] << back
            numbers.append(number)
        found[row] = numbers
    return (found << np.arange(BITS - 1, -1, -1)).astype(np.uint32)


def _scrambled(directions: _Whole, lower: _Whole) -> _Whole:
    """Multiply the digits of direction numbers by random lower triangular matrices, modulo two."""
    places = np.arange(BITS - 1, -1, -1, dtype=np.uint32)
    digits = (directions[:, :, None] >> places) & 1  # (dimension, number, digit), highest first
    lower[:, np.arange(BITS), np.arange(BITS)] = 1
    mixed = np.matmul(digits.astype(np.float64), lower.transpose(0, 2, 1).astype(np.float64))
    found: _Whole = ((mixed.astype(np.uint32) & 1) << places).sum(axis=2, dtype=np.uint32)
    return found
