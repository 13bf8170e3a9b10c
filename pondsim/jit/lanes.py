"""Sums over the rows of an array, several entries at once.

For rows of 8, 16 or 24 numbers that lie anywhere in an array the compiler cannot be made to do this by
itself: it fears that the rows overlap.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np
from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.extending import intrinsic as numba_intrinsic
from numba.np.arrayobj import make_array

from pondsim.jit.compiled import inlined

intrinsic: Any = numba_intrinsic  # what it makes takes one argument less than is written
LANES = 8  # rows are as long as a multiple of this
MAY = ("contract", "nsz")  # a multiplication and an addition may be one
VECTOR = ir.VectorType(ir.DoubleType(), LANES)
NOTHING = ir.Constant(VECTOR, [0.0] * LANES)


def lined_up(size: int) -> np.ndarray:
    """Zeros that begin on a cache line, so that no LANES lie across two.

    NumPy begins an array at any multiple of 16 bytes; what lies across two lines takes twice as long.
    """
    room = np.zeros(size + LANES)
    first = -room.ctypes.data % (LANES * room.itemsize) // room.itemsize
    return room[first : first + size]


@inlined
def whole_lanes(count: int) -> int:
    """The next multiple of LANES: a loop over so many rows of numbers has no rest to do one by one."""
    return ((count + LANES - 1) >> 3) << 3


def _at(context: Any, builder: Any, kind: Any, array: Any, row: Any) -> tuple[Any, Any]:
    """Address of a row, and its length."""
    held = make_array(kind)(context, builder, array)
    length = cgutils.unpack_tuple(builder, held.shape, 2)[1]
    return builder.gep(held.data, [builder.mul(row, length)], inbounds=True), length


def _spread(builder: Any, number: Any) -> Any:
    """A number in every lane."""
    none = ir.Constant(ir.VectorType(number.type, LANES), ir.Undefined)
    one = builder.insert_element(none, number, ir.Constant(ir.IntType(32), 0))
    places = ir.Constant(ir.VectorType(ir.IntType(32), LANES), [0] * LANES)
    return builder.shuffle_vector(one, none, places)


def _lanes(builder: Any, start: Any, place: Any) -> Any:
    return builder.bitcast(builder.gep(start, [place], inbounds=True), VECTOR.as_pointer())


def _load(builder: Any, start: Any, place: Any) -> Any:
    loaded = builder.load(_lanes(builder, start, place))
    loaded.align = 8
    return loaded


def _store(builder: Any, value: Any, start: Any, place: Any) -> None:
    builder.store(value, _lanes(builder, start, place)).align = 8


@intrinsic
def add_row(context: Any, target: Any, row: Any, factor: Any, source: Any, from_row: Any) -> Any:
    """target[row] += factor * source[from_row]."""

    def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        to, of = signature.args[0], signature.args[3]
        start, length = _at(context, builder, to, arguments[0], arguments[1])
        read, _ = _at(context, builder, of, arguments[3], arguments[4])
        times = _spread(builder, arguments[2])
        step = ir.Constant(length.type, LANES)
        with cgutils.for_range(builder, builder.sdiv(length, step)) as loop:
            place = builder.mul(loop.index, step)
            product = builder.fmul(times, _load(builder, read, place), flags=MAY)
            _store(builder, builder.fadd(_load(builder, start, place), product, flags=MAY), start, place)
        return context.get_dummy_value()

    return types.none(target, types.int64, types.float64, source, types.int64), build


@intrinsic
def move_rows(context: Any, target: Any, a: Any, b: Any, forth: Any, back: Any, source: Any) -> Any:
    """Take forth * source[a] - back * source[b] off target[a] and add it to target[b]."""

    def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        to, of = signature.args[0], signature.args[5]
        start_a, length = _at(context, builder, to, arguments[0], arguments[1])
        start_b, _ = _at(context, builder, to, arguments[0], arguments[2])
        read_a, _ = _at(context, builder, of, arguments[5], arguments[1])
        read_b, _ = _at(context, builder, of, arguments[5], arguments[2])
        times_a, times_b = _spread(builder, arguments[3]), _spread(builder, arguments[4])
        step = ir.Constant(length.type, LANES)
        with cgutils.for_range(builder, builder.sdiv(length, step)) as loop:
            place = builder.mul(loop.index, step)
            moved = builder.fsub(
                builder.fmul(times_a, _load(builder, read_a, place), flags=MAY),
                builder.fmul(times_b, _load(builder, read_b, place), flags=MAY),
                flags=MAY,
            )
            left = builder.fsub(_load(builder, start_a, place), moved, flags=MAY)
            _store(builder, left, start_a, place)
            gained = builder.fadd(_load(builder, start_b, place), moved, flags=MAY)
            _store(builder, gained, start_b, place)
        return context.get_dummy_value()

    numbers = (types.int64, types.int64, types.float64, types.float64)
    return types.none(target, *numbers, source), build


@intrinsic
def spread(context: Any, held: Any, factor: Any, by_row: Any, by_column: Any) -> Any:
    """by_row[i, j] = by_column[j, i] = factor[j] * held[i, j] for all of `held`.

    Squares of LANES are taken: what lies behind the last row and column of `held` is written too, with
    numbers of no meaning, up to the next multiple. The rows of the others have room for it.
    """

    def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        of = _Square(context, builder, signature.args[0], arguments[0])
        factors = make_array(signature.args[1])(context, builder, arguments[1]).data
        rows = _Square(context, builder, signature.args[2], arguments[2])
        columns = _Square(context, builder, signature.args[3], arguments[3])
        with of.blocks() as (row, column):
            factor = _load(builder, factors, column)
            lanes = []
            for k in range(LANES):
                line = of.line(row, k)
                line_read = builder.select(of.has_row(line), line, of.zero)  # the first, where there is none
                read = _load(builder, of.at(line_read, column), of.zero)
                lanes.append(builder.fmul(read, factor, flags=MAY))
                _store(builder, lanes[k], rows.at(line, column), of.zero)
            for k, lane in enumerate(_transposed(builder, lanes)):
                _store(builder, lane, columns.at(of.line(column, k), row), of.zero)
        return context.get_dummy_value()

    return types.none(held, factor, by_row, by_column), build


@intrinsic
def gather(context: Any, held: Any, by_row: Any, by_column: Any) -> Any:
    """held[i, j] = by_row[i, j] + by_column[j, i] for all of `held`; the others are 0 afterwards.

    Each store fills LANES: what of it lies behind the end of a row is overwritten by the next row, which is
    stored later, and what lies behind the last row is put back. LANES numbers must follow it in memory.
    """

    def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        to = _Square(context, builder, signature.args[0], arguments[0])
        rows = _Square(context, builder, signature.args[1], arguments[1])
        columns = _Square(context, builder, signature.args[2], arguments[2])
        behind = to.at(to.rows, to.zero)
        kept = _load(builder, behind, to.zero)
        with to.blocks() as (row, column):
            lanes = []
            for k in range(LANES):
                place = columns.at(to.line(column, k), row)
                lanes.append(_load(builder, place, to.zero))
                _store(builder, NOTHING, place, to.zero)
            for k, lane in enumerate(_transposed(builder, lanes)):
                line = to.line(row, k)
                place = rows.at(line, column)
                total = builder.fadd(_load(builder, place, to.zero), lane, flags=MAY)
                _store(builder, NOTHING, place, to.zero)
                with builder.if_then(to.has_row(line), likely=True):
                    _store(builder, total, to.at(line, column), to.zero)
        _store(builder, kept, behind, to.zero)
        return context.get_dummy_value()

    return types.none(held, by_row, by_column), build


class _Square:
    """An array of two dimensions that is gone through in squares of LANES."""

    def __init__(self, context: Any, builder: Any, kind: Any, array: Any) -> None:
        held = make_array(kind)(context, builder, array)
        self.builder, self.data = builder, held.data
        self.rows, self.columns = cgutils.unpack_tuple(builder, held.shape, 2)
        self.word = self.rows.type
        self.zero = ir.Constant(self.word, 0)

    @contextmanager
    def blocks(self) -> Iterator[tuple[Any, Any]]:
        """First row and column of each square: rows from the first on, columns from the last."""
        builder, step = self.builder, ir.Constant(self.word, LANES)
        rest = ir.Constant(self.word, LANES - 1)
        high, wide = (builder.sdiv(builder.add(n, rest), step) for n in (self.rows, self.columns))
        with cgutils.for_range(builder, high) as down, cgutils.for_range(builder, wide) as along:
            last = builder.sub(builder.sub(wide, ir.Constant(self.word, 1)), along.index)
            yield builder.mul(down.index, step), builder.mul(last, step)

    def at(self, row: Any, column: Any) -> Any:
        """Address of an entry."""
        place = self.builder.add(self.builder.mul(row, self.columns), column)
        return self.builder.gep(self.data, [place], inbounds=True)

    def line(self, first: Any, k: int) -> Any:
        """The k-th line from `first` on."""
        return self.builder.add(first, ir.Constant(self.word, k))

    def has_row(self, row: Any) -> Any:
        """Whether there is such a row."""
        return self.builder.icmp_signed("<", row, self.rows)


def _transposed(builder: Any, lanes: list[Any]) -> list[Any]:
    """Rows of a square from its columns: exchange neighbours, then pairs, then fours."""
    for step in (1, 2, 4):
        mixed = list(lanes)
        for i in range(LANES):
            if i & step:
                continue
            first = [j if not j & step else LANES + j - step for j in range(LANES)]
            second = [j + step if not j & step else LANES + j for j in range(LANES)]
            for place, order in ((i, first), (i | step, second)):
                mask = ir.Constant(ir.VectorType(ir.IntType(32), LANES), order)
                mixed[place] = builder.shuffle_vector(lanes[i], lanes[i | step], mask)
        lanes = mixed
    return lanes
