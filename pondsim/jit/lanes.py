"""Sums over the rows of an array, several entries at once.

For rows of 8, 16 or 24 numbers that lie anywhere in an array the compiler cannot be made to do this by
itself: it fears that the rows overlap.
"""

from __future__ import annotations

from typing import Any

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
    one = builder.insert_element(ir.Constant(VECTOR, ir.Undefined), number, ir.Constant(ir.IntType(32), 0))
    places = ir.Constant(ir.VectorType(ir.IntType(32), LANES), [0] * LANES)
    return builder.shuffle_vector(one, ir.Constant(VECTOR, ir.Undefined), places)


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
def transpose(context: Any, target: Any, source: Any, rows: Any, columns: Any) -> Any:
    """target[j, i] = source[i, j] for the first rows and columns of the source.

    Both are taken by LANES: those up to the next multiple are written too.
    """

    def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        word = arguments[2].type
        to, to_length = _at(context, builder, signature.args[0], arguments[0], ir.Constant(word, 0))
        of, of_length = _at(context, builder, signature.args[1], arguments[1], ir.Constant(word, 0))
        step = ir.Constant(word, LANES)
        rest = ir.Constant(word, LANES - 1)
        high, wide = (builder.sdiv(builder.add(count, rest), step) for count in arguments[2:])
        with cgutils.for_range(builder, high) as down:
            row = builder.mul(down.index, step)
            with cgutils.for_range(builder, wide) as along:
                column = builder.mul(along.index, step)
                lanes = []
                for k in range(LANES):
                    line = builder.add(row, ir.Constant(word, k))
                    lanes.append(_load(builder, of, builder.add(builder.mul(line, of_length), column)))
                for k, lane in enumerate(_transposed(builder, lanes)):
                    line = builder.add(column, ir.Constant(word, k))
                    _store(builder, lane, to, builder.add(builder.mul(line, to_length), row))
        return context.get_dummy_value()

    return types.none(target, source, types.int64, types.int64), build


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
