"""What a docstring leaves unsaid: numpydoc's checks, and units, shapes, errors, sources.

numpydoc (https://numpydoc.readthedocs.io, the numpy style's own validator) compares names with the
signature. What it cannot know is added here: a float has a unit in brackets, an array its shape, an
error that is raised stands under Raises, a law of physics says where it is from. What is returned
has a shape where the shapes of what is given say it.
"""

import ast
import dataclasses
import importlib
import inspect
import pkgutil
import re
import textwrap
from collections.abc import Callable, Iterator
from functools import cached_property
from types import ModuleType

import flowsim

FLOORS = ("system", "physics", "network")
"""Folders whose every public function is looked at; of the public face those that it names."""

WANTED = ("GL06", "GL07", "PR01", "PR02", "PR03", "PR05", "PR06", "PR10", "RT01", "RT02")
"""Checks of numpydoc: sections unknown or out of order; parameters missing, unknown, out of order,
badly typed; nothing said of what is returned. A type of ours says by itself what it is, so PR07 and
RT03 (described at length) are left out: units and shapes are looked for below."""

LAWS = ("physics.losses", "physics.fuel", "physics.air", "physics.tank.volume")
"""Rooms of which a function of numbers is a law and has References."""

_UNIT = re.compile(r"\[[^\]]+\]|unit", re.IGNORECASE)
_SHAPE = re.compile(r"\([a-z_0-9. ]+,[a-z_0-9, ]*\)|shape|broadcast|\b0-d\b", re.IGNORECASE)
_NUMBERS = re.compile(r"\b(float|FloatLike|FloatArray)\b")
_ARRAYS = re.compile(r"\b(FloatArray|BoolArray|IntArray|NDArray)\b")


def modules() -> Iterator[ModuleType]:
    """Give every module of the folders that are looked at."""
    for floor in FLOORS:
        yield from _modules_of(importlib.import_module(f"flowsim.{floor}"))


def public_functions() -> Iterator[tuple[str, Callable[..., object]]]:
    """Give name and function of everything that is looked at."""
    for module in modules():
        for name, function in vars(module).items():
            mine = inspect.isfunction(function) and function.__module__ == module.__name__
            if mine and not name.startswith("_"):
                yield f"{module.__name__}.{name}", function
    for name in flowsim.__all__:
        function = getattr(flowsim, name)
        if inspect.isfunction(function):
            yield f"{function.__module__}.{name}", function


def public_methods() -> Iterator[tuple[str, Callable[..., object], bool]]:
    """Give path and function of every public method, and whether it is read as a property.

    Of public classes of the folders that are looked at, and of those of the public face. A method
    that overrides one of ours keeps what that one says, and is left out.
    """
    found = [cls for module in modules() for cls in vars(module).values() if inspect.isclass(cls)]
    found += [cls for name in flowsim.__all__ if inspect.isclass(cls := getattr(flowsim, name))]
    for cls in dict.fromkeys(found):
        if cls.__name__.startswith("_") or not cls.__module__.startswith("flowsim"):
            continue
        for name, member in vars(cls).items():
            function, is_property = _function_of(member)
            mine = function is not None and function.__module__ == cls.__module__
            if mine and not name.startswith("_") and not _overrides(cls, name):
                yield f"{cls.__module__}.{cls.__name__}.{name}", function, is_property


def _function_of(member: object) -> tuple[Callable[..., object] | None, bool]:
    if isinstance(member, property):
        return member.fget, True
    if isinstance(member, cached_property):
        return member.func, True
    if isinstance(member, classmethod | staticmethod):
        return member.__func__, False
    return (member, False) if inspect.isfunction(member) else (None, False)


def _overrides(cls: type, name: str) -> bool:
    bases = cls.__mro__[1:]
    return any(name in vars(base) for base in bases if base.__module__.startswith("flowsim"))


def _modules_of(package: ModuleType) -> Iterator[ModuleType]:
    for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
        yield importlib.import_module(found.name)


def faults_of(path: str, function: Callable[..., object]) -> list[str]:
    """Give what a function's docstring leaves unsaid."""
    from numpydoc.docscrape import FunctionDoc

    found = _sections_unsaid(path, function)
    doc = FunctionDoc(function)
    room = path.removeprefix("flowsim.")
    gives_numbers = _NUMBERS.search(_hints(function).get("return", ""))
    sourced = doc["References"] or doc["Notes"] or "Tag: " in (function.__doc__ or "")
    if room.startswith(LAWS) and gives_numbers and not sourced:
        found.append("a law without a source: References, or Notes that name it")
    if room.startswith("physics") and gives_numbers and not doc["Examples"]:
        found.append("a law without an example that runs")
    return found


def faults_of_fields(cls: type) -> list[str]:
    """Give the fields of numbers that the docstring of a dataclass leaves unsaid."""
    text = cls.__doc__ or ""
    numbers = [f.name for f in dataclasses.fields(cls) if _NUMBERS.search(str(f.type))]
    unsaid = [f"{name} is not said" for name in numbers if not re.search(rf"\b{name}\b", text)]
    return unsaid + (["has no [unit]"] if numbers and not _UNIT.search(text) else [])


def public_records() -> Iterator[type]:
    """Give the public dataclasses of the folders that are looked at."""
    for module in modules():
        for name, cls in vars(module).items():
            mine = inspect.isclass(cls) and cls.__module__ == module.__name__
            if mine and dataclasses.is_dataclass(cls) and not name.startswith("_"):
                yield cls


def _sections_unsaid(path: str, function: Callable[..., object]) -> list[str]:
    """Give what its sections leave unsaid of what is taken, given and raised."""
    from numpydoc.docscrape import FunctionDoc
    from numpydoc.validate import validate

    doc = FunctionDoc(function)
    found = [f"{code} {words}" for code, words in validate(path)["errors"] if code in WANTED]
    found += list(_unsaid(doc, _hints(function)))
    named = {item.type for item in doc["Raises"]}
    unnamed = sorted(_raised(function) - named)
    return found + [f"{name} is raised and not under Raises" for name in unnamed]


def faults_of_method(path: str, method: Callable[..., object], is_property: bool) -> list[str]:
    """Give what the docstring of a method or property leaves unsaid.

    One that takes numbers has the sections of a function; where a law is from, and an example,
    stand with its class. Another says in its sentence what it gives.
    """
    text = method.__doc__ or ""
    hints = _hints(method)
    taken = " ".join(hint for name, hint in hints.items() if name != "return")
    if not is_property and (_NUMBERS.search(taken) or _ARRAYS.search(taken)):
        return _sections_unsaid(path, method)
    found = [] if text.strip() else ["says nothing"]
    returned = hints.get("return", "")
    if _NUMBERS.search(returned) and not _UNIT.search(text):
        found.append("what it gives has no [unit]")
    if _ARRAYS.search(returned) and not _SHAPE.search(text):
        found.append("what it gives has no shape")
    named = [name for name in sorted(_raised(method)) if name not in text]
    return found + [f"{name} is raised and not said" for name in named]


def _unsaid(doc: dict, hints: dict[str, str]) -> Iterator[str]:
    """Give floats without a unit and arrays without a shape."""
    said: dict[str, str] = {}
    for item in doc["Parameters"]:
        for name in item.name.split(","):
            said[name.strip()] = " ".join((item.type, *item.desc))
    said["return"] = " ".join(" ".join((i.name, i.type, *i.desc)) for i in doc["Returns"])
    for name, hint in hints.items():
        text = said.get(name)
        if text is None or (name == "return" and not doc["Returns"]):
            continue
        if _NUMBERS.search(hint) and not _UNIT.search(text):
            yield f"{name} has no [unit]"
        shaped = text if name != "return" else " ".join(said.values())
        if _ARRAYS.search(hint) and not _SHAPE.search(shaped):
            yield f"{name} has no shape"


def _raised(function: Callable[..., object]) -> set[str]:
    """Give the errors that a function's own lines raise."""
    return {
        node.exc.func.id
        for node in ast.walk(_tree(function))
        if isinstance(node, ast.Raise)
        and isinstance(node.exc, ast.Call)
        and isinstance(node.exc.func, ast.Name)
    }


def _hints(function: Callable[..., object]) -> dict[str, str]:
    """Give the type of each parameter, and of what is returned, as it is written."""
    arguments = _tree(function).args
    named = (*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs)
    found = {item.arg: ast.unparse(item.annotation) for item in named if item.annotation}
    returned = _tree(function).returns
    return found if returned is None else {**found, "return": ast.unparse(returned)}


def _tree(function: Callable[..., object]) -> ast.FunctionDef:
    (tree,) = ast.parse(textwrap.dedent(inspect.getsource(function))).body
    assert isinstance(tree, ast.FunctionDef)
    return tree
