"""The data of a case with every quantity in the units of one system."""

from typing import Any

from flowsim.files.case.form import FormField
from flowsim.files.tables.layout import fields_at
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.turned import turned
from flowsim.measures import Units


def in_units(data: dict[str, Any], system: Units) -> dict[str, Any]:
    """Give a case in the units of a system.

    Parameters
    ----------
    data
        Plain data of a case; what cannot be read in it stays as it is.
    system
        ``US`` or ``METRIC``.

    Returns
    -------
    dict
        The same case to seven digits; names, notes, tubes by their sizes, angles and airspeeds as
        they are.
    """
    return {
        key: _value(value, fields_at(()).get(key), (key,), system) for key, value in data.items()
    }


def _value(value: Any, field: FormField | None, path: KeyPath, system: Units) -> Any:
    if field is None:
        return value
    if field.kind in ("section", "sections"):
        return _sections(value, path, system)
    if field.kind in ("quantity", "point") or field.item in ("quantity", "point", "list"):
        return _quantities(value, system, field.units)
    return value


def _sections(value: Any, path: KeyPath, system: Units) -> Any:
    if isinstance(value, list):
        return [_sections(one, (*path, n), system) for n, one in enumerate(value)]
    if not isinstance(value, dict):
        return value
    fields = fields_at(path)
    return {key: _value(one, fields.get(key), (*path, key), system) for key, one in value.items()}


def _quantities(value: Any, system: Units, fitting: tuple[str, ...]) -> Any:
    """Give a quantity, a table that says where it is from, or lists of them."""
    if isinstance(value, list):
        return [_quantities(one, system, fitting) for one in value]
    if isinstance(value, str):
        return turned(value, system, fitting)
    if isinstance(value, dict):
        return {
            key: turned(one, system, fitting)
            if key in ("value", "accuracy") and isinstance(one, str)
            else one
            for key, one in value.items()
        }
    return value
