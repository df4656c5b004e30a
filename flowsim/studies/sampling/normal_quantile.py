"""The normal distribution's quantile, for arrays: what a probability is in standard deviations."""

import numpy as np

from flowsim.physics.arrays import FloatArray, FloatLike

_CENTRAL = 0.425
"""Distance of a probability from a half up to which the central approximation holds."""
_FAR = 5.0
"""Value of sqrt(-ln p) from which the approximation of the far tail holds."""
_CENTRE = (
    (2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457,
     13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.3871328727963666080),
    (5226.4952788528545610, 28729.085735721942674, 39307.895800092710610, 21213.794301586595867,
     5394.1960214247511077, 687.18700749205790830, 42.313330701600911252, 1.0),
)  # fmt: skip
_TAIL = (
    (7.74545014278341407640e-4, 2.27238449892691845833e-2, 0.241780725177450611770,
     1.27045825245236838258, 3.64784832476320460504, 5.76949722146069140550,
     4.63033784615654529590, 1.42343711074968357734),
    (1.05075007164441684324e-9, 5.47593808499534494600e-4, 1.51986665636164571966e-2,
     0.148103976427480074590, 0.689767334985100004550, 1.67638483018380384940,
     2.05319162663775882187, 1.0),
)  # fmt: skip
_FAR_TAIL = (
    (2.01033439929228813265e-7, 2.71155556874348757815e-5, 1.24266094738807843860e-3,
     2.65321895265761230930e-2, 0.296560571828504891230, 1.78482653991729133580,
     5.46378491116411436990, 6.65790464350110377720),
    (2.04426310338993978564e-15, 1.42151175831644588870e-7, 1.84631831751005468180e-5,
     7.86869131145613259100e-4, 1.48753612908506148525e-2, 0.136929880922735805310,
     0.599832206555887937690, 1.0),
)  # fmt: skip


def normal_quantile(probability: FloatLike) -> FloatArray:
    """Give the score below which a standard normal value lies with a probability.

    Parameters
    ----------
    probability : FloatLike
        [-] Above 0 and below 1, any shape; any other entry gives NaN.

    Returns
    -------
    FloatArray
        Scores [-], in the same shape, to about 1e-15 of their size.

    References
    ----------
    M. J. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37 (1988) 477.
    """
    share = np.asarray(probability, dtype=np.float64)
    flat = share.reshape(-1)
    off = flat - 0.5
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        score = off * _ratio(_CENTRE, 0.180625 - off * off)
        outside = np.flatnonzero(~(np.abs(off) <= _CENTRAL))
        depth = np.sqrt(-np.log(np.minimum(flat[outside], 1.0 - flat[outside])))
        tail = _ratio(_TAIL, depth - 1.6)
        tail = np.where(depth > _FAR, _ratio(_FAR_TAIL, depth - _FAR), tail)
    inside = (flat[outside] > 0.0) & (flat[outside] < 1.0)
    score[outside] = np.where(inside, np.copysign(tail, off[outside]), np.nan)
    return score.reshape(share.shape)


def _ratio(polynomials: tuple[tuple[float, ...], tuple[float, ...]], at: FloatArray) -> FloatArray:
    """Evaluate a ratio of polynomials, highest powers first."""
    above, below = (np.full_like(at, coefficients[0]) for coefficients in polynomials)
    for coefficient, other in zip(polynomials[0][1:], polynomials[1][1:], strict=True):
        above *= at
        above += coefficient
        below *= at
        below += other
    return above / below
