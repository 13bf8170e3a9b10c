"""Exponential, logarithm and powers that the compiler can compute for several numbers at once.

Those of the C library are calls, which keep a loop from being vectorised. These are polynomials, with
relative errors below 1e-12 (exp) and 1e-13 (log). From Python, and for whole arrays, they are NumPy's.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from llvmlite import ir
from numba import types
from numba.extending import intrinsic as numba_intrinsic
from numba.extending import overload

intrinsic: Any = numba_intrinsic  # what it makes takes one argument less than is written
LARGEST = 700.0  # exp of anything beyond it counts as exp of that
ROUNDED = 6755399441055744.0  # 1.5 x 2^52: added and taken off again it rounds to a whole number
LN2_HIGH = 6.93145751953125e-1  # the first bits of ln 2, so that whole multiples of it are exact
LN2_LOW = math.log(2.0) - LN2_HIGH
LOG2_E = 1.0 / math.log(2.0)
ROOT_HALF_BITS = 0x3FE6A09E00000000  # those of sqrt(1/2), nearly
ONE_BITS = 0x3FF0000000000000
# The order of sums matters here, so nothing may be reassociated.
EXACT: Any = {"error_model": "numpy", "fastmath": {"contract"}, "forceinline": True}


@intrinsic
def bits(context: Any, number: Any) -> Any:
    """The bits of a float as an integer."""

    def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        return builder.bitcast(arguments[0], ir.IntType(64))

    return types.int64(types.float64), build


@intrinsic
def _from_bits(context: Any, number: Any) -> Any:
    """The float of some bits."""

    def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        return builder.bitcast(arguments[0], ir.DoubleType())

    return types.float64(types.int64), build


def exp(x: Any) -> Any:
    """Exponential; beyond +-700 that of +-700, NaN for NaN."""
    return np.exp(x)


def log(x: Any) -> Any:
    """Natural logarithm of a normal number above 0; nonsense for others."""
    return np.log(x)


def power(x: Any, exponent: Any) -> Any:
    """`x` to a power, for x above 0."""
    return x**exponent


def at_least(x: Any, least: Any) -> Any:
    """The larger of both; NaN where `x` is NaN."""
    return np.maximum(x, least)


def at_most(x: Any, most: Any) -> Any:
    """The smaller of both; NaN where `x` is NaN."""
    return np.minimum(x, most)


@overload(exp, jit_options=EXACT)
def _exp(x: Any) -> Any:
    if isinstance(x, types.Array):

        def of_array(x: Any) -> Any:
            return np.exp(x)

        return of_array

    def polynomial(x: Any) -> Any:
        held = LARGEST if x > LARGEST else x
        held = -LARGEST if held < -LARGEST else held
        shifted = held * LOG2_E + ROUNDED
        whole = shifted - ROUNDED
        r = (held - whole * LN2_HIGH) - whole * LN2_LOW
        rest = 1.0 / 720.0 + r * (
            1.0 / 5040.0 + r * (1.0 / 40320.0 + r * (1.0 / 362880.0 + r * (1.0 / 3628800.0)))
        )
        value = 1.0 + r * (
            1.0 + r * (0.5 + r * (1.0 / 6.0 + r * (1.0 / 24.0 + r * (1.0 / 120.0 + r * rest))))
        )
        return value * _from_bits((bits(shifted) << 52) + ONE_BITS)

    return polynomial


@overload(log, jit_options=EXACT)
def _log(x: Any) -> Any:
    if isinstance(x, types.Array):

        def of_array(x: Any) -> Any:
            return np.log(x)

        return of_array

    def polynomial(x: Any) -> Any:
        whole = bits(x)
        exponent = (whole - ROOT_HALF_BITS) >> 52
        mantissa = _from_bits(whole - (exponent << 52))
        # a whole number below 2^51 as a float, by its bits: conversions are slow on many processors
        count = _from_bits(bits(ROUNDED) + exponent) - ROUNDED
        z = (mantissa - 1.0) / (mantissa + 1.0)
        q = z * z
        rest = 1.0 / 9.0 + q * (1.0 / 11.0 + q * (1.0 / 13.0 + q * (1.0 / 15.0 + q / 17.0)))
        series = 1.0 + q * (1.0 / 3.0 + q * (1.0 / 5.0 + q * (1.0 / 7.0 + q * rest)))
        return count * LN2_HIGH + (2.0 * z * series + count * LN2_LOW) + (x - x)  # NaN stays NaN

    return polynomial


@overload(power, jit_options=EXACT)
def _power(x: Any, exponent: Any) -> Any:
    if isinstance(x, types.Array) or isinstance(exponent, types.Array):

        def of_arrays(x: Any, exponent: Any) -> Any:
            return x**exponent

        return of_arrays

    def by_logarithm(x: Any, exponent: Any) -> Any:
        return exp(exponent * log(x))

    return by_logarithm


@overload(at_least, jit_options=EXACT)
def _at_least(x: Any, least: Any) -> Any:
    if isinstance(x, types.Array) or isinstance(least, types.Array):

        def of_arrays(x: Any, least: Any) -> Any:
            return np.maximum(x, least)

        return of_arrays

    def of_numbers(x: Any, least: Any) -> Any:
        return least if x < least else x

    return of_numbers


@overload(at_most, jit_options=EXACT)
def _at_most(x: Any, most: Any) -> Any:
    if isinstance(x, types.Array) or isinstance(most, types.Array):

        def of_arrays(x: Any, most: Any) -> Any:
            return np.minimum(x, most)

        return of_arrays

    def of_numbers(x: Any, most: Any) -> Any:
        return most if x > most else x

    return of_numbers


OF_NUMBERS = {exp, log, power, at_least, at_most}  # for numbers the same code whoever calls them
