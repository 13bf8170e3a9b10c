"""How numba compiles a function here: as it always does, but asking nothing twice.

Most of a first compilation is Python code of numba that finds out types. At each `a[i]` and each `x + y` it
tries all that was ever declared for the operator, and compares its options one by one; the garbage collector
goes through all that it has made, again and again. The machine code is the same without.
"""

from __future__ import annotations

import copy
import gc
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from functools import cache, partial
from types import BuiltinFunctionType
from typing import Any

from llvmlite import binding
from numba import types
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import CompilerBase, DefaultPassBuilder, Flags
from numba.core.compiler_machinery import PassManager
from numba.core.cpu import CPUContext
from numba.core.datamodel.models import OpaqueModel
from numba.core.targetconfig import ConfigStack
from numba.core.typing.context import Context
from numba.extending import register_model

from pondsim.jit.elementary import OF_NUMBERS
from pondsim.jit.elements import code_for

Base: Any = CompilerBase  # whose methods numba leaves without types
FOR_CLOSURES = "InlineClosureLikes"  # the pass for functions within functions
FOR_ARRAYS = "NopythonRewrites"  # and the one for expressions that make arrays
# Objects made between two collections, and collections between two of older objects: some 30 MB more
RARELY = (50_000, 20, 20)


class KnownFunction(types.Function):
    """A function or operator of numba that remembers its signature for types of arguments."""

    def __init__(self, function: types.Function) -> None:
        super().__init__(function.templates)
        self._function = function
        self._signatures: dict[tuple[Any, ...], Any] = {}

    def get_call_type(self, context: Any, args: tuple[Any, ...], kws: Any) -> Any:
        """As numba asks it of a function: its signature for types of arguments."""
        if kws or args not in self._signatures:
            with self._options(args):
                found = self._function.get_call_type(context, args, kws)
            # else it was compiled just now, with the options of who calls it
            if not kws and self.get_impl_key(found) is self.typing_key:
                self._signatures[args] = found
            return found
        return self._signatures[args]

    def _options(self, args: tuple[Any, ...]) -> AbstractContextManager[None]:
        """Under what options it is compiled: those of who calls it, but where they make no difference."""
        alike = self.typing_key in OF_NUMBERS and not any(isinstance(kind, types.Array) for kind in args)
        return ConfigStack().enter(PLAIN) if alike else nullcontext()

    def get_impl_key(self, sig: Any) -> Any:
        """As numba asks it of a function: by what its code for a signature is found."""
        return self._function.get_impl_key(sig)


register_model(KnownFunction)(OpaqueModel)
_known = cache(KnownFunction)


class KnowingContext(Context):
    """numba's own context of types, to which its functions are known ones."""

    def __init__(self, context: Context) -> None:
        self.__dict__ = context.__dict__

    def resolve_value_type(self, val: Any) -> Any:
        """Type of a global value."""
        found = super().resolve_value_type(val)
        return _known(found) if type(found) is types.Function else found

    def resolve_function_type(self, func: Any, args: Any, kws: Any) -> Any:
        """Signature of a function, which may be an operator by itself."""
        known = self.resolve_value_type(func) if isinstance(func, BuiltinFunctionType) else func
        return super().resolve_function_type(known, args, kws)


_knowing = cache(KnowingContext)  # one each: numba keeps what it finds by context


class LeanContext(CPUContext):
    """numba's own context of code, with short ways to the entries of arrays."""

    @classmethod
    def of(cls, context: CPUContext) -> CPUContext:
        """The same context with them."""
        lean = copy.copy(context)
        lean.__class__ = cls
        lean.typing_context = _knowing(context.typing_context)
        return lean

    def get_function(self, fn: Any, sig: Any, _firstcall: bool = True) -> Any:
        """Code of a function for a signature."""
        if fn == "__array__" and type(sig.args[0]) is types.Array:
            raise NotImplementedError  # as numba finds at last, having looked for new declarations each time
        known = isinstance(fn, KnownFunction) and not self.enable_boundscheck
        build = code_for(fn.typing_key, sig) if known else None
        return partial(_built, build, self, sig) if build else super().get_function(fn, sig, _firstcall)


def _built(build: Any, context: Any, signature: Any, builder: Any, args: Any, loc: Any = None) -> Any:
    return build(context, builder, signature, args)


class QuickFlags(Flags):
    """numba's options of a compilation, compared without reading each through a property."""

    __slots__ = ()

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Flags):
            return bool(DEFAULTS | self._values == DEFAULTS | other._values)
        return NotImplemented

    def __hash__(self) -> int:
        return HASH


PLAIN = QuickFlags()
DEFAULTS = {name: option.default for name, option in Flags.options.items()}
HASH = hash(Flags())  # that of all others too: it is made of the names


class ShortLoops(JITCodeLibrary):
    """Machine code of loops over some dozens of boxes.

    By itself LLVM lays out a loop for several vectors at a time, which pays from hundreds of numbers on: the
    few that a pond has would all be left over, to be taken one by one.
    """

    def _optimize_final_module(self) -> None:
        codegen = self._codegen
        if hasattr(codegen, "_mpm_cheap"):  # numba before 0.62 leaves no such choice
            super()._optimize_final_module()
            return
        first = {"loop_vectorize": False, "slp_vectorize": False, "opt": 0, "cost": "cheap"}
        manager, builder = codegen._module_pass_manager(**first)
        manager.run(self._final_module, builder)
        tuning = binding.create_pipeline_tuning_options(speed_level=3)
        tuning.loop_vectorization = tuning.slp_vectorization = True
        tuning.loop_interleaving = False
        builder = binding.create_pass_builder(codegen._tm, tuning)
        builder.getModulePassManager().run(self._final_module, builder)


class Pipeline(Base):
    """numba's own steps from a function to machine code."""

    def __init__(self, typingctx: Any, targetctx: Any, *others: Any) -> None:
        super().__init__(typingctx, targetctx, *others)
        self.state.typingctx = _knowing(typingctx)
        self.state.targetctx = LeanContext.of(self.state.targetctx)
        self.state.flags = QuickFlags(self.state.flags)

    def compile_extra(self, func: Any) -> Any:
        """Compile a function."""
        if self.state.library is None and not self.state.flags.nrt:
            self.state.library = ShortLoops(self.state.targetctx.codegen(), func.__qualname__)
            self.state.library.enable_object_caching()
        with _rare_collections():
            return super().compile_extra(func)

    def define_pipelines(self) -> list[PassManager]:
        """numba's own passes, without those that would find nothing."""
        closures = any(hasattr(constant, "co_code") for constant in self.state.func_id.code.co_consts)
        used = {FOR_CLOSURES: closures, FOR_ARRAYS: self.state.flags.nrt}
        manager = PassManager("compiled")
        for step, words in DefaultPassBuilder.define_nopython_pipeline(self.state).passes:
            if used.get(step.__name__, True):
                manager.add_pass(step, words)
        manager.finalize()
        return [manager]


@contextmanager
def _rare_collections() -> Iterator[None]:
    """Keep the garbage collector from going through the compiler's objects all the time."""
    usual = gc.get_threshold()
    gc.set_threshold(*RARELY)
    try:
        yield
    finally:
        gc.set_threshold(*usual)
