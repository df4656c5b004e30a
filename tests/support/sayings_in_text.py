"""A part of the type check (mypy): a saying within a formatted text would be told to nobody.

``f"{decision.found}"`` and ``str(decision.found)`` are errors while the program runs; here they are
found without running it. Named in ``pyproject.toml``.
"""

from collections.abc import Callable

from mypy.plugin import FunctionContext, MethodContext, Plugin
from mypy.types import Instance, Type, UnionType, get_proper_type

SAYING = "flowsim.studies.saying.Saying"
TEXTS = ("builtins.str.format",)
CALLS = ("builtins.str",)


def holds_saying(kind: Type) -> bool:
    """Tell whether a value of a type is, or may be, a saying."""
    kind = get_proper_type(kind)
    if isinstance(kind, UnionType):
        return any(holds_saying(item) for item in kind.items)
    return isinstance(kind, Instance) and kind.type.fullname == SAYING


def _look(context: FunctionContext | MethodContext) -> Type:
    for group in context.arg_types:
        if any(holds_saying(kind) for kind in group):
            message = "A saying is no text: tell it (flowsim.document.words.telling.told)"
            context.api.fail(message, context.context)
    return context.default_return_type


class SayingsInText(Plugin):
    """Look at formatted texts, which mypy checks as ``str.format``, and at ``str``."""

    def get_method_hook(self, fullname: str) -> Callable[[MethodContext], Type] | None:
        """Look at formatted texts."""
        return _look if fullname in TEXTS else None

    def get_function_hook(self, fullname: str) -> Callable[[FunctionContext], Type] | None:
        """Look at ``str``."""
        return _look if fullname in CALLS else None


def plugin(_: str) -> type[Plugin]:
    """Give mypy the plugin."""
    return SayingsInText
