"""Many small symmetric positive definite systems at once."""

import numpy as np

from flowsim.physics.arrays import FloatArray

UNROLLED_LIMIT = 16
"""Above this size a compiled dense solve per scenario is quicker than this elimination."""


def solve_symmetric(matrix: FloatArray, right_side: FloatArray) -> FloatArray:
    """Solve ``matrix`` x = ``right_side`` for every scenario; both arguments are overwritten.

    Parameters
    ----------
    matrix : FloatArray (row, column, scenario)
        Symmetric positive definite (a network's node matrix is, once each part of it hangs on a
        fixed head). Entries that are zero in every scenario are skipped.
    right_side : FloatArray (row, scenario)

    Returns
    -------
    FloatArray (row, scenario)

    Notes
    -----
    Gaussian elimination without pivoting is stable for such matrices (Golub and Van Loan, Matrix
    Computations, 4th ed., section 4.2).
    """
    size = len(right_side)
    if size > UNROLLED_LIMIT:
        stacked = np.linalg.solve(matrix.transpose(2, 0, 1), right_side.T[:, :, None])
        return np.ascontiguousarray(stacked[:, :, 0].T)
    filled = np.asarray(matrix.any(axis=2), dtype=bool)
    for pivot in range(size):
        for row in range(pivot + 1, size):
            if not filled[row, pivot]:
                continue
            factor = matrix[row, pivot] / matrix[pivot, pivot]
            for column in range(row, size):
                if filled[pivot, column]:
                    matrix[row, column] -= factor * matrix[pivot, column]
                    matrix[column, row] = matrix[row, column]
                    filled[row, column] = filled[column, row] = True
            right_side[row] -= factor * right_side[pivot]
    for row in range(size - 1, -1, -1):
        for column in range(row + 1, size):
            if filled[row, column]:
                right_side[row] -= matrix[row, column] * right_side[column]
        right_side[row] /= matrix[row, row]
    return right_side
