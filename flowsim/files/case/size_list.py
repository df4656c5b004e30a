"""The user's own list of sizes: ``"3/8 in x 0.035 in, 10 mm x 1 mm, 8.5 mm"``."""

from pydantic_core import PydanticCustomError

from flowsim.errors import FlowsimError
from flowsim.files.case.read_sizes import read_tube
from flowsim.files.units.kinds import BORE
from flowsim.files.units.quantities import QuantityError, parse_quantity, shown
from flowsim.physics.course.tube_sizes import INCH
from flowsim.studies.changes.resize import Size


class SizeError(FlowsimError):
    """A size cannot be read; the words say what to write."""

    exit_code = 4


def parse_sizes(text: str, *, is_hose: bool) -> tuple[Size, ...]:
    """Read a list of sizes.

    Parameters
    ----------
    text : str
        Separated by commas: outside diameter x wall, or a bore.
    is_hose : bool
        Whether a bore alone is that of hose.

    Returns
    -------
    tuple of Size

    Raises
    ------
    SizeError
        For anything that is no size.
    """
    return tuple(_size(item.strip(), is_hose) for item in text.split(",") if item.strip())


def _size(text: str, is_hose: bool) -> Size:
    if "x" not in text and "×" not in text:
        try:
            bore = parse_quantity(text, BORE).value
        except QuantityError as error:
            raise SizeError(
                f"size {shown(text)}: {error}; or outside diameter x wall, such as "
                '"3/8 in x 0.035 in"'
            ) from error
        return Size(f"{'hose' if is_hose else 'tube'}, bore {text}", bore, is_hose=is_hose)
    try:
        tube = read_tube(text)
    except PydanticCustomError as error:
        fault = (error.context or {})["faults"][0]
        raise SizeError(f"size {fault.problem}; {fault.remedy}") from error
    outside, wall = tube.outside_diameter, tube.wall
    sixteenths = 16.0 * outside / INCH
    dash = round(sixteenths) if abs(sixteenths - round(sixteenths)) < 0.01 else None
    return Size(f"tube {text}", outside - 2.0 * wall, outside, wall, dash)
