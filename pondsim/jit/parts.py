"""Compiled functions as parts of others: linked into their callers, with no door from Python of their own.

By itself numba gives every function, also one that only compiled code calls, machine code of its own and two
wrappers by which Python and C may call it, and optimizes all that it calls once more at every level. Python
calls a few of the some three hundred functions of the time loop; for the others that was half of the work.
"""

from __future__ import annotations

import pickle
from typing import Any

from llvmlite import binding
from numba.core.codegen import JITCodeLibrary
from numba.core.compiler import Flags, compile_extra
from numba.core.serialize import dumps
from numba.core.sigutils import normalize_signature
from numba.core.typing import make_concrete_template

from pondsim.jit.kept import KeptCode, knows_parts
from pondsim.jit.pipeline import Pipeline

Types = tuple[Any, ...]


class PartLibrary(JITCodeLibrary):
    """Code that callers take in and optimize; the processor never runs it from here."""

    def _finalize_final_module(self) -> None:
        self._finalize_dynamic_globals()
        self._finalized = True

    def _optimize_functions(self, ll_module: Any) -> None:
        """Tidy up each function, with no loop laid out yet."""
        codegen = self._codegen
        if hasattr(codegen, "_mpm_cheap"):
            super()._optimize_functions(ll_module)
            return
        ll_module.data_layout = codegen._data_layout
        options = {"loop_vectorize": False, "slp_vectorize": False, "opt": 1}
        for function in ll_module.functions:
            manager, builder = codegen._function_pass_manager(**options)
            manager.run(function, builder)

    def _optimize_final_module(self) -> None:
        """Lay small functions into their callers; the rest is done once, where all has come together."""
        codegen = self._codegen
        if hasattr(codegen, "_mpm_cheap"):  # numba before 0.62, whose loop would be half as slow again
            super()._optimize_final_module()
            return
        options = {"loop_vectorize": False, "slp_vectorize": False, "opt": 0, "cost": "cheap"}
        manager, builder = codegen._module_pass_manager(**options)
        manager.run(self._final_module, builder)

    @classmethod
    def of_bitcode(cls, codegen: Any, name: str, bitcode: bytes) -> PartLibrary:
        """What was kept of one, ready to be linked."""
        library = cls(codegen, name)
        library._shared_module = binding.parse_bitcode(bitcode)
        library._finalized = True
        return library


class Part:
    """What a function is to compiled code that calls it, for each signature; see `as_part`."""

    def __init__(self, dispatcher: Any, kept: KeptCode | None) -> None:
        self._dispatcher = dispatcher
        self._kept = kept
        self._found: dict[Types, tuple[Any, Any]] = {}  # signature, and what must live as long as the code

    def get_call_template(self, args: Types, kws: dict[str, Any]) -> tuple[Any, Any, Types, dict[str, Any]]:
        """As numba asks it of a function: its signature for these types, compiled."""
        parameters, args = self._dispatcher.fold_argument_types(args, kws)
        name = self._dispatcher.py_func.__name__
        template = make_concrete_template(name, key=name, signatures=[self._of(tuple(args))])
        return template, parameters, args, {}

    def get_overload(self, signature: Any) -> tuple[Part, Types]:
        """As numba asks it of a function: the name of its code."""
        return self, tuple(normalize_signature(signature)[0])

    def _of(self, args: Types) -> Any:
        """Signature for types of arguments; its code is known to the compiler then."""
        if args not in self._found:
            target = self._dispatcher.targetctx
            fndesc, library, *found = self._read(args) or self._compile(args)
            target.insert_user_function((self, args), fndesc, [library])
            self._found[args] = found[0], found[1:]
        return self._found[args][0]

    def _compile(self, args: Types) -> tuple[Any, ...]:
        own = self._dispatcher
        flags = Flags()
        own.targetdescr.options.parse_as_flags(flags, own.targetoptions)
        for left_out in ("no_compile", "no_cpython_wrapper", "no_cfunc_wrapper"):
            setattr(flags, left_out, True)
        library = PartLibrary(own.targetctx.codegen(), own.py_func.__qualname__)
        place = {"library": library, "pipeline_class": Pipeline}
        result = compile_extra(own.typingctx, own.targetctx, own.py_func, args, None, flags, {}, **place)
        library.finalize()
        environments = (result.environment, *result._find_referenced_environments())
        if self._kept and not library.has_dynamic_globals:
            result.fndesc.typemap = result.fndesc.calltypes = None  # need not be kept, and may not be
            bitcode = library._get_module_for_linking().as_bitcode()
            linked = (library.name, bitcode, result.fndesc, result.signature, environments)
            self._kept.write(args, library.codegen, dumps((*linked, _at_loading(library))))
        return result.fndesc, library, result.signature, environments

    def _read(self, args: Types) -> tuple[Any, ...] | None:
        codegen = self._dispatcher.targetctx.codegen()
        content = self._kept.read(args, codegen) if self._kept else None
        if content is None:
            return None
        name, bitcode, fndesc, signature, environments, at_loading = pickle.loads(content)
        library = PartLibrary.of_bitcode(codegen, name, bitcode)
        for prepare in at_loading:
            prepare()
        _at_loading(library).update(at_loading)
        return fndesc, library, signature, environments


def _at_loading(library: Any) -> set[Any]:
    """What some versions of numba call before code is loaded; callers take it over."""
    found: set[Any] = getattr(library, "_reload_init", set())
    return found


def as_part(dispatcher: Any, kept: KeptCode | None) -> None:
    """Let compiled code that calls a function take it in as a part; Python goes on to call it as it is.

    Nothing is done where the inside of this numba is not known: the function is then compiled its own way.
    """
    if not knows_parts():
        return
    part = Part(dispatcher, kept)
    dispatcher.get_call_template, dispatcher.get_overload = part.get_call_template, part.get_overload
