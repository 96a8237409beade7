"""exp, log, sin and cos without branches or library calls, so that loops over lanes vectorise.

Imported only when kernels are compiled. Accuracy over the range the kernel uses is a test:
1e-15 relative for exp and log, 2e-15 absolute for sin and cos below 1e4 rad.

References
----------
Argument reductions and minimax coefficients of log after the public-domain-style FDLIBM notes of
K. C. Ng (Sun Microsystems, 1993; coefficients from memory, accuracy tested); exp is a truncated
Taylor series on the reduced argument, sin and cos are polynomials through Chebyshev nodes of a
half turn.
"""

# numba is untyped: everything below is seen by mypy as Any.
from __future__ import annotations

from typing import Any

from llvmlite import ir
from numba import njit, types
from numba.extending import intrinsic

__all__ = ["OPTIONS", "cos", "exp", "log", "sin"]

# "contract" (fused multiply-add) keeps results independent of how flights are batched;
# full fast-math does not. "numpy" division does not branch on zero.
# Without reference counts: kernels only borrow arrays, and threads that count references to
# shared ones slow each other down several times.
OPTIONS: dict[str, Any] = {
    "fastmath": {"contract"},
    "error_model": "numpy",
    "nogil": True,
    "_nrt": False,
}


@intrinsic
def _bits(typingctx: Any, value: Any) -> Any:
    def codegen(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        return builder.bitcast(args[0], ir.IntType(64))

    return types.int64(types.float64), codegen


@intrinsic
def _from_bits(typingctx: Any, value: Any) -> Any:
    def codegen(context: Any, builder: Any, signature: Any, args: Any) -> Any:
        return builder.bitcast(args[0], ir.DoubleType())

    return types.float64(types.int64), codegen


_LN2_HIGH = 6.93147180369123816490e-01
_LN2_LOW = 1.90821492927058770002e-10
_INV_LN2 = 1.4426950408889634074
# Adding this to a double of modest size leaves its nearest whole number in the low mantissa bits.
_ROUND = 6755399441055744.0


@njit(forceinline=True, **OPTIONS)
def exp(x: float) -> float:
    """e**x for |x| < 700."""
    shifted = x * _INV_LN2 + _ROUND
    k = shifted - _ROUND
    r = (x - k * _LN2_HIGH) - k * _LN2_LOW
    p = 1.0 / 6227020800.0
    p = p * r + 1.0 / 479001600.0
    p = p * r + 1.0 / 39916800.0
    p = p * r + 1.0 / 3628800.0
    p = p * r + 1.0 / 362880.0
    p = p * r + 1.0 / 40320.0
    p = p * r + 1.0 / 5040.0
    p = p * r + 1.0 / 720.0
    p = p * r + 1.0 / 120.0
    p = p * r + 1.0 / 24.0
    p = p * r + 1.0 / 6.0
    p = p * r + 0.5
    p = p * r * r + r
    scale = _from_bits((_bits(shifted) - _bits(_ROUND) + 1023) << 52)
    return scale + scale * p


@njit(forceinline=True, **OPTIONS)
def log(x: float) -> float:
    """Natural logarithm of a positive, normal x."""
    bits = _bits(x)
    # Split so that the mantissa lies in [sqrt(1/2), sqrt(2)).
    offset = bits - 0x3FE6A09E667F3BCD
    exponent = offset >> 52
    mantissa = _from_bits(bits - (exponent << 52))
    k = _from_bits(exponent + _bits(_ROUND)) - _ROUND
    f = mantissa - 1.0
    s = f / (2.0 + f)
    z = s * s
    p = 1.479819860511658591e-01
    p = p * z + 1.531383769920937332e-01
    p = p * z + 1.818357216161805012e-01
    p = p * z + 2.222219843214978396e-01
    p = p * z + 2.857142874366239149e-01
    p = p * z + 3.999999999940941908e-01
    p = p * z + 6.666666666666735130e-01
    half = 0.5 * f * f
    return k * _LN2_HIGH - ((half - (s * (half + z * p) + k * _LN2_LOW)) - f)


_INV_PI = 0.3183098861837907
_PI_HIGH = 3.141592651605606
_PI_LOW = 1.984187159361081e-09


@njit(forceinline=True, **OPTIONS)
def _turned(value: float, shifted: float) -> float:
    """Change the sign once for every half turn that was taken off the argument."""
    return _from_bits(_bits(value) ^ (_bits(shifted) << 63))


@njit(forceinline=True, **OPTIONS)
def cos(x: float) -> float:
    """Cosine for |x| < 1e4 rad."""
    shifted = x * _INV_PI + _ROUND
    k = shifted - _ROUND
    r = (x - k * _PI_HIGH) - k * _PI_LOW
    z = r * r
    p = 4.608977003001797e-14
    p = p * z - 1.1462901901757276e-11
    p = p * z + 2.0876561839933163e-09
    p = p * z - 2.755731639102575e-07
    p = p * z + 2.4801587277414926e-05
    p = p * z - 0.001388888888877299
    p = p * z + 0.04166666666666388
    p = p * z - 0.4999999999999997
    p = p * z + 1.0
    return _turned(p, shifted)


@njit(forceinline=True, **OPTIONS)
def sin(x: float) -> float:
    """Sine for |x| < 1e4 rad."""
    shifted = x * _INV_PI + _ROUND
    k = shifted - _ROUND
    r = (x - k * _PI_HIGH) - k * _PI_LOW
    z = r * r
    p = -7.374387503862757e-13
    p = p * z + 1.6048168318165643e-10
    p = p * z - 2.505188194671259e-08
    p = p * z + 2.7557316609073673e-06
    p = p * z - 0.00019841269824861897
    p = p * z + 0.008333333333282756
    p = p * z - 0.16666666666666072
    return _turned(r + r * z * p, shifted)
