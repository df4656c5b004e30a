"""What a docstring leaves unsaid: numpydoc's checks, and units, shapes, errors, sources.

numpydoc (https://numpydoc.readthedocs.io, the numpy style's own validator) compares names with the
signature. What it cannot know is added here: a float has a unit in brackets, an array its shape, an
error that is raised stands under Raises, a law of physics says where it is from. What is returned
has a shape where the shapes of what is given say it.
"""

import ast
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
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


def _modules_of(package: ModuleType) -> Iterator[ModuleType]:
    for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
        yield importlib.import_module(found.name)


def faults_of(path: str, function: Callable[..., object]) -> list[str]:
    """Give what a function's docstring leaves unsaid."""
    from numpydoc.docscrape import FunctionDoc
    from numpydoc.validate import validate

    doc = FunctionDoc(function)
    found = [f"{code} {words}" for code, words in validate(path)["errors"] if code in WANTED]
    hints = _hints(function)
    found += list(_unsaid(doc, hints))
    raised = _raised(function)
    named = {item.type for item in doc["Raises"]}
    found += [f"{name} is raised and not under Raises" for name in sorted(raised - named)]
    room = path.removeprefix("flowsim.")
    gives_numbers = _NUMBERS.search(hints.get("return", ""))
    sourced = doc["References"] or doc["Notes"] or "Tag: " in (function.__doc__ or "")
    if room.startswith(LAWS) and gives_numbers and not sourced:
        found.append("a law without a source: References, or Notes that name it")
    if room.startswith("physics") and gives_numbers and not doc["Examples"]:
        found.append("a law without an example that runs")
    return found


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
    (tree,) = ast.parse(inspect.getsource(function)).body
    assert isinstance(tree, ast.FunctionDef)
    return tree
