"""Entries and rows of arrays, without the detour by which numba reads them.

numba lays the description of an array down in memory at each `a[i]`, after clearing the place, and reads it
back field by field, for the optimizer to take all that out again. Here it stays a value.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable
from typing import Any

from llvmlite import ir
from numba import types
from numba.core.imputils import impl_ret_borrowed
from numba.np.arrayobj import fix_integer_index, load_item, store_item

TUPLE: Any = types.BaseTuple
WORD = ir.IntType(64)
COUNTED = ("meminfo", "parent")  # of a description: by what its memory is counted


def described(context: Any, builder: Any, kind: Any, **fields: Any) -> Any:
    """Description of an array of numba's type `kind`; what counts its memory may be left out."""
    places = context.data_model_manager[kind].get_field_position
    described = ir.Constant(context.get_value_type(kind), ir.Undefined)
    count = ir.Constant(WORD, 1)
    for length in fields["shape"]:
        count = builder.mul(count, length, flags=["nsw"])
    for name in COUNTED:
        fields.setdefault(name, ir.Constant(described.type.elements[places(name)], None))
    for name, value in (fields | {"nitems": count}).items():
        if isinstance(value, list):
            for axis, of_axis in enumerate(value):
                described = builder.insert_value(described, of_axis, (places(name), axis))
        else:
            described = builder.insert_value(described, value, places(name))
    return described


def code_for(function: Any, signature: Any) -> Callable[..., Any] | None:
    """Code of `a[...]` or `a[...] = x` for an array in one piece and whole numbers as index, else None."""
    if function not in (operator.getitem, operator.setitem):
        return None
    array = signature.args[0]
    kinds = _kinds(signature.args[1])
    if type(array) is not types.Array or array.layout != "C" or len(kinds) > array.ndim:
        return None
    if not all(isinstance(kind, types.Integer) for kind in kinds):
        return None
    if len(kinds) < array.ndim:
        return _row if function is operator.getitem else None
    return _entry if function is operator.getitem else _set_entry


def _kinds(index: Any) -> tuple[Any, ...]:
    return tuple(index.types) if isinstance(index, TUPLE) else (index,)


def _read(context: Any, builder: Any, kind: Any, array: Any, name: str, axes: Iterable[int]) -> list[Any]:
    place = context.data_model_manager[kind].get_field_position(name)
    return [builder.extract_value(array, (place, axis)) for axis in axes]


def _field(context: Any, builder: Any, kind: Any, array: Any, name: str) -> Any:
    return builder.extract_value(array, context.data_model_manager[kind].get_field_position(name))


def _place(context: Any, builder: Any, signature: Any, args: Any) -> Any:
    """Address of what an index says."""
    array, index = signature.args[:2]
    given = [args[1]]
    if isinstance(index, TUPLE):
        given = [builder.extract_value(args[1], i) for i in range(len(index))]
    shape = _read(context, builder, array, args[0], "shape", range(array.ndim))
    place = ir.Constant(WORD, 0)
    for axis, (kind, number) in enumerate(zip(_kinds(index), given, strict=True)):
        step = fix_integer_index(context, builder, kind, number, shape[axis])
        for length in shape[axis + 1 :]:
            step = builder.mul(step, length, flags=["nsw"])
        place = builder.add(place, step, flags=["nsw"])
    return builder.gep(_field(context, builder, array, args[0], "data"), [place], inbounds=True)


def _entry(context: Any, builder: Any, signature: Any, args: Any) -> Any:
    found = load_item(context, builder, signature.args[0], _place(context, builder, signature, args))
    return impl_ret_borrowed(context, builder, signature.return_type, found)


def _set_entry(context: Any, builder: Any, signature: Any, args: Any) -> Any:
    array, _, kind = signature.args
    place = _place(context, builder, signature, args)
    store_item(context, builder, array, context.cast(builder, args[2], kind, array.dtype), place)
    return context.get_dummy_value()


def _row(context: Any, builder: Any, signature: Any, args: Any) -> Any:
    kind, row = signature.args[0], signature.return_type
    fields = {
        name: _read(context, builder, kind, args[0], name, range(kind.ndim - row.ndim, kind.ndim))
        for name in ("shape", "strides")
    }
    fields |= {name: _field(context, builder, kind, args[0], name) for name in (*COUNTED, "itemsize")}
    fields["data"] = _place(context, builder, signature, args)
    return impl_ret_borrowed(context, builder, row, described(context, builder, row, **fields))
