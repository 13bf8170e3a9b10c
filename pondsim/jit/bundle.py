"""Many arrays and numbers handed to compiled code as one pointer.

A function that takes a tuple of fifty arrays is, once compiled, a function of some 350 arguments: a time loop
built so takes more than a minute to compile. A bundle is a frozen dataclass that keeps the addresses and
shapes of its arrays, and its numbers, in a table; compiled code takes the table's address and reads fields
by name. Fields are never replaced, so the loads count as invariant and are lifted out of loops; array
contents may change.

Arrays that are parts of the bundle's own field `block` lie at a distance from its start that is part of the
bundle's type. The compiler then knows that they do not overlap, and computes several entries of them at
once; with arrays of their own it would have to fear that each write changes what the others hold.

The table and the type are made once for each bundle. When it is pickled or copied they stay behind, for the
table holds addresses of this process; an array that lies in another array of the bundle does so afterwards.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, fields
from functools import cache, cached_property
from typing import Any, NamedTuple

import numpy as np
from llvmlite import ir
from numba import types
from numba.core.datamodel.models import OpaqueModel
from numba.core.typing.templates import AttributeTemplate
from numba.extending import (
    NativeValue,
    infer_getattr,
    lower_getattr_generic,
    register_model,
    typeof_impl,
    unbox,
)
from numba.np.numpy_support import as_dtype, from_dtype

from pondsim.jit.elements import described

LENGTHS = 0, 2**40  # an array is as long as the first or more, and less long than the second
Template: Any = AttributeTemplate  # whose methods numba declares as attributes
Part = tuple[int, tuple[int, ...]] | None  # first entry in the block, and all lengths but the first
Field = tuple[str, types.Type, int, Part]  # name, type, first entry in the table, place in the block


@dataclass(frozen=True, eq=False)
class Bundle:
    """Base of the dataclasses that compiled code takes by pointer.

    Fields are C-contiguous arrays, floats, integers or bundles; their number of dimensions is part of the
    type, their length is not.
    """

    @cached_property
    def _table(self) -> np.ndarray:
        return np.array([entry for value in self._values() for entry in _entries(value)], dtype=np.uint64)

    @cached_property
    def _address(self) -> int:
        return int(self._table.ctypes.data)

    @cached_property
    def _numba_type(self) -> BundleType:
        names = tuple(field.name for field in fields(self))
        kinds = tuple(_type_of(value) for value in self._values())
        parts = tuple(_part_of(value, self) for value in self._values())
        return _type_with(type(self).__qualname__, names, kinds, parts)

    def _values(self) -> list[Any]:
        return [getattr(self, field.name) for field in fields(self)]

    def __getstate__(self) -> dict[str, Any]:
        names = [field.name for field in fields(self)]
        return dict(zip(names, _without_views(names, self._values()), strict=True))

    def __setstate__(self, state: dict[str, Any]) -> None:
        for name, value in state.items():
            self.__dict__[name] = value.of_whole(state[value.whole]) if isinstance(value, _View) else value


class _View(NamedTuple):
    """An array that lies in another one."""

    whole: str
    first: int
    shape: tuple[int, ...]

    def of_whole(self, whole: np.ndarray) -> np.ndarray:
        size = int(np.prod(self.shape))
        return whole.reshape(-1)[self.first : self.first + size].reshape(self.shape)


def _without_views(names: list[str], values: list[Any]) -> list[Any]:
    """The values, with a note in place of each array that is part of another one among them."""
    arrays = [(n, v) for n, v in zip(names, values, strict=True) if isinstance(v, np.ndarray) and v.size]
    arrays.sort(key=lambda named: -named[1].size)
    return [
        (_view_in(arrays, value) or value) if isinstance(value, np.ndarray) else value for value in values
    ]


def _view_in(arrays: list[tuple[str, np.ndarray]], part: np.ndarray) -> _View | None:
    for name, whole in arrays:
        if whole is part:
            return None
        if part.dtype == whole.dtype and part.flags.c_contiguous and whole.flags.c_contiguous:
            offset = part.ctypes.data - whole.ctypes.data
            if offset >= 0 and offset + part.nbytes <= whole.nbytes and part.size:
                return _View(name, offset // whole.itemsize, part.shape)
    return None


def _part_of(value: Any, bundle: Bundle) -> Part:
    """Where an array lies in the bundle's block, if it does."""
    block = getattr(bundle, "block", None)
    if block is None or value is block or not isinstance(value, np.ndarray) or value.dtype != block.dtype:
        return None
    first, rest = divmod(value.ctypes.data - block.ctypes.data, block.itemsize)
    inside = first >= 0 and rest == 0 and first + value.size <= block.size
    return (first, value.shape[1:]) if inside else None


def _type_of(value: Any) -> types.Type:
    if isinstance(value, np.ndarray):
        if not value.flags.c_contiguous:
            raise TypeError("arrays of a bundle lie in one piece")
        return _array_type(value.dtype, value.ndim)
    if isinstance(value, Bundle):
        return value._numba_type
    return types.float64 if isinstance(value, float | np.floating) else types.int64


@cache
def _array_type(dtype: np.dtype[Any], dimensions: int) -> types.Array:
    return types.Array(from_dtype(dtype), dimensions, "C")


def _entries(value: Any) -> list[int]:
    if isinstance(value, np.ndarray):
        return [value.ctypes.data, *value.shape]
    if isinstance(value, Bundle):
        return [value._address]
    number = np.float64(value) if isinstance(value, float | np.floating) else np.int64(value)
    return [int(number.view(np.uint64))]


class BundleType(types.Type):
    """numba's type of a bundle: its class and the types of its fields."""

    def __init__(self, name: str, described: tuple[Field, ...]) -> None:
        self.described = described
        self.places = {field: (kind, place, part) for field, kind, place, part in described}
        listed = ", ".join(f"{field}: {kind} {part}" for field, kind, _, part in described)
        digest = hashlib.sha256(listed.encode()).hexdigest()[:12]  # a long name would slow the compiler down
        super().__init__(name=f"{name}_{digest}")


@cache
def _type_with(
    name: str, names: tuple[str, ...], kinds: tuple[types.Type, ...], parts: tuple[Part, ...]
) -> BundleType:
    described: list[Field] = []
    place = 0
    for field, kind, part in zip(names, kinds, parts, strict=True):
        described.append((field, kind, place, part))
        place += 1 + (kind.ndim if isinstance(kind, types.Array) else 0)
    return BundleType(name, tuple(described))


register_model(BundleType)(OpaqueModel)  # a pointer to the table


@typeof_impl.register(Bundle)
def _typeof_bundle(value: Bundle, context: Any) -> BundleType:
    return value._numba_type


@unbox(BundleType)
def _unbox_bundle(kind: BundleType, value: Any, c: Any) -> NativeValue:
    number = c.pyapi.object_getattr_string(value, "_address")
    address = c.pyapi.long_as_ulonglong(number)
    c.pyapi.decref(number)
    return NativeValue(c.builder.inttoptr(address, ir.IntType(8).as_pointer()))


@infer_getattr
class BundleAttributes(Template):
    """Type of a field."""

    key = BundleType

    def generic_resolve(self, kind: BundleType, name: str) -> types.Type | None:
        """Type of the field `name`, or None."""
        found = kind.places.get(name)
        return found[0] if found else None


@lower_getattr_generic(BundleType)
def _lower_field(context: Any, builder: Any, kind: BundleType, value: Any, name: str) -> Any:
    field, place, part = kind.places[name]

    def entry(offset: int, llvm_type: ir.Type, start: int = place) -> Any:
        table = builder.bitcast(value, llvm_type.as_pointer())
        slot = builder.gep(table, [ir.Constant(ir.IntType(64), start + offset)], inbounds=True)
        loaded = builder.load(slot)
        loaded.set_metadata("invariant.load", builder.module.add_metadata([]))
        return loaded

    word = ir.IntType(64)
    if isinstance(field, BundleType):
        return entry(0, ir.IntType(8).as_pointer())
    if not isinstance(field, types.Array):
        return entry(0, context.get_value_type(field))
    element = context.get_data_type(field.dtype)
    start = place if part is None else kind.places["block"][1]
    data = builder.bitcast(entry(0, ir.IntType(8).as_pointer(), start), element.as_pointer())
    shape = [entry(1 + axis, word) for axis in range(field.ndim)]
    for length in shape:  # else an index counted from it could be one from the end
        length.set_metadata("range", builder.module.add_metadata([ir.Constant(word, n) for n in LENGTHS]))
    if part is not None:
        data = builder.gep(data, [ir.Constant(word, part[0])], inbounds=True)
        shape[1:] = [ir.Constant(word, length) for length in part[1]]
    itemsize = ir.Constant(word, as_dtype(field.dtype).itemsize)
    strides = [itemsize]
    for length in reversed(shape[1:]):
        strides.insert(0, builder.mul(strides[0], length))
    fields = {"data": data, "shape": shape, "strides": strides, "itemsize": itemsize}
    return described(context, builder, field, **fields)
