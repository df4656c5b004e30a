"""Typical mistakes in tables: each is named by sheet, row and column, all of them in one run."""

import datetime
import io
from pathlib import Path

import openpyxl
import pytest

from flowsim.errors import InputError
from flowsim.files.case.reader import read_draft
from flowsim.files.tables.reader import read_table_bytes, table_bytes

CASE = Path(__file__).parents[4] / "cases" / "one-tank" / "case.toml"
DATA = read_draft(CASE.read_text(encoding="utf-8"), "case.toml").data
CSV = table_bytes(DATA, ".csv").decode("utf-8-sig").replace("\r\n", "\n")

SLIPS = [
    # What is replaced, by what, and the message without the name of the file.
    ("7.75,measured", "7.75 mmm,measured",
     'lines, row 9, column bore: line "down", bore, value: unknown unit "mmm"; write "7.75 mm"'),
    ("7.75,measured", "7.75,guessed",
     'lines, row 9, column bore from: line "down", bore, from: "guessed" is not an origin; write '
     'one of "measured", "drawing", "handbook", "assumed"'),
    ("7.75,measured", ",measured",
     'lines, row 9, column bore from: the column "bore from" is filled and "bore" is not; fill in '
     '"bore" or empty this cell'),
    ("bore [mm],bore from", "bor [mm],bore from",
     'lines, row 8: unknown heading "bor [mm]"; did you mean "bore"? (begin the heading of a '
     "column of your own with #)"),
    ("bore [mm],bore from", "bore,bore from",
     'lines, row 9, column bore: line "down", bore, value: a bare number has no unit; write '
     '"7.75 in"'),
    ("name,mirror,from,to,straight", "name,mirror,to,to,straight",
     "lines, row 8, column to: the heading is there twice; keep one of the two columns"),
    ("down,,centre.rear", "down,,center.rear",
     'lines, row 9, column from: line "down", from: there is no outlet, junction, tee or selector '
     'called "center.rear"; did you mean "centre.rear"?'),
    ("line,down,via,1,", "line,dwon,via,1,",
     'points, row 33, column which: unknown line "dwon"; did you mean "down"?'),
    ("line,down,via,1,", "lines,down,via,1,",
     'points, row 33, column of: "lines" is not known here; did you mean "line"?'),
    ("line,down,via,1,", "line,,via,1,",
     'points, row 33, column which: the line is not named; write one of "down", "forward"'),
    ("line,down,via,1,", "line,down,vai,1,",
     'points, row 33, column point: "vai" is not a point of a line; did you mean "via"?'),
    ("line,down,via,1,", "line,down,via,2,",
     "points, row 34, column no: number 2 is there twice; number the rows in their order"),
    ("line,down,via,1,", "line,down,via,first,",
     'points, row 33, column no: "first" is not a number; write 1, 2, 3'),
    ("line,down,via,1,", "line,down,via,,",
     "points, row 33: some rows that belong together have a number and this one has none; number "
     "all of them in their order, or none"),
    ("1540,0,1380", "1540,,1380",
     "points, row 33, column buttline: the cell is empty: a point has three lengths (station, "
     'buttline, waterline); write for example "0 in"'),
    ("1540,0,1380", "1540,0 kg,1380",
     'points, row 33, column buttline: line "down", via, point 1, buttline: "0 kg" is a mass, '
     'not a length; write for example "31.5 in"'),
    ("junction,floor,at,", "junction,floor,place,",
     'points, row 32, column point: "place" is not a point of a junction; write "at"'),
    ("ball valve,shut-off", "bal valve,shut-off",
     'parts, row 40, column part: line "down", part 1 "shut-off", part: "bal valve" is not a known '
     'part; did you mean "ball valve"?'),
    ("18,60,0.19,0.9", "18,60,0.19,9",
     'parts, row 42, column clear fraction: line "forward", part 2 "bowl screen", clear_fraction: '
     "9 is not a plausible value for a share; write from 0.001 to 1"),
    ("18,60,0.19,0.9", '18,60,0.19,"0,9"',
     'parts, row 42, column clear fraction: line "forward", part 2 "bowl screen", clear_fraction: '
     '"0,9" is not a number (a share); write 0.9'),
    ("line,forward,1,sediment", "drain,floor drain,1,sediment",
     "parts, row 41: parts do not belong to a drain; put them on a line, outlet, carburettor or "
     "selector"),
    ("centre,,cells,0.97,40,6,9,forward,", "centre,,cells,0.97,40,,9,forward,",
     'tanks, row 46, column unusable: tank "centre", unusable: is missing; write for example 2 L '
     'into the column "unusable"'),
    ("centre,,cells,0.97,40,6,9,forward,", "centre,,cell,0.97,40,6,9,forward,",
     'tanks, row 46, column shape: tank "centre", shape: "cell" is not known here; did you mean '
     '"cells"?'),
    ("centre,rear,,7.7", "center,rear,,7.7",
     'outlets, row 50, column tank: unknown tank "center"; did you mean "centre"?'),
    ("drain,floor drain,", "drian,floor drain,",
     'joints, row 55, column what: "drian" is not known here; did you mean "drain"?'),
    ("fuel.kind,motor gasoline summer,", "fuel.kind,motor gasoline sumer,",
     'other, row 62, column value: fuel, kind: "motor gasoline sumer" is not a known fuel; did you '
     'mean "motor gasoline summer"?'),
    ("engine.burn,17.5,L/h", "engine.burn,17.5,",
     'other, row 66, column value: engine, burn: a bare number has no unit; write "17.5 US_gal/h"'),
    ("engine.feed,gravity,", "engine.fed,gravity,",
     'other, row 65, column value: engine, fed: unknown key; did you mean "feed"?'),
    ("engine.feed,gravity,\n", "",
     "other: engine, feed: is missing; add a row to the sheet other: engine.feed, for example "
     "gravity"),
    ("engine.feed,gravity,", "engine..feed,gravity,",
     'other, row 65, column key: "engine..feed" is not a key; write keys with dots between them, '
     "for example engine.burn or fuel.temperatures.1"),
    ("engine.feed,gravity,", "engine.burn,18,L/h",
     "other, row 66, column key: given already (other, row 65, column value); keep one of the two"),
    ("fuel.temperatures.2", "fuel.temperatures.3",
     'other, row 64, column key: "3" is not the next number here; write 2; number in the order of '
     "the rows"),
    ("flight.climb_speed,95,km/h", "flight.climb_speed,,km/h",
     "other, row 70, column key: the value is empty; fill in the column value, or delete the row"),
    ("engine,,inlet at,,310,40,420\n", "",
     'other: engine, inlet_at: is missing; add a row for it to the sheet points, with "inlet at" '
     "in the column point"),
    ("test.draw,2,L\ntest.height_accuracy,5,mm\n", "",
     "test: is missing; add rows to the sheet other, with keys such as test.draw"),
    ("[joints]", "[joins]", '"joins": unknown sheet; did you mean "joints"? (begin the name of one '
     "of your own with #)"),
    ("[lines]\n", "", "row 7: \"name\" stands before the name of a sheet; write a line [lines], "
     "[points], [parts], ... before the rows of each sheet"),
    ("rubber hose,100", "rubber hose,100,200",
     'lines, row 10: "200" stands beyond the last heading; give its column a heading'),
]  # fmt: skip


def mistakes_of(content: bytes, name: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_table_bytes(content, name)
    return [str(mistake).removeprefix(f"{name}: ") for mistake in caught.value.mistakes]


@pytest.mark.parametrize(("old", "new", "message"), SLIPS, ids=[slip[2][:40] for slip in SLIPS])
def test_each_slip_has_its_message(old, new, message):
    assert CSV.count(old) >= 1
    found = mistakes_of(CSV.replace(old, new, 1).encode(), "mine.csv")
    assert message in found
    assert len(found) <= 3


def test_all_slips_in_one_run_in_the_order_of_the_file():
    text = CSV
    chosen = [slip for slip in SLIPS if slip[0] in (
        "7.75,measured", "1540,0,1380", "ball valve,shut-off", "engine.burn,17.5,L/h")]  # fmt: skip
    for old, new, _ in {slip[0]: slip for slip in reversed(chosen)}.values():
        text = text.replace(old, new, 1)
    found = mistakes_of(text.encode(), "mine.csv")
    assert [line.split(":")[0] for line in found] == [
        "lines, row 9, column bore",
        "points, row 33, column buttline",
        "parts, row 40, column part",
        "other, row 66, column value",
    ]


def test_what_is_copied_by_a_mirror_is_named_at_the_cell_it_comes_from():
    path = CASE.parents[1] / "tandem" / "case.toml"
    data = read_draft(path.read_text(encoding="utf-8"), "case.toml").data
    data["line"][2]["bend_radius"] = "90 in"
    found = mistakes_of(table_bytes(data, ".csv"), "mine.csv")
    assert found
    assert all(line.startswith("lines, row 11, column bend radius: ") for line in found)
    assert not any("copied from line" in line for line in found)


def workbook(**cells: object) -> bytes:
    """The case as a workbook with cells of the sheet lines changed."""
    book = openpyxl.load_workbook(io.BytesIO(table_bytes(DATA, ".xlsx")))
    for name, value in cells.items():
        cell = book["lines"][name]
        cell.number_format = "General"
        cell.value = value
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("cells", "message"),
    [
        ({"I2": datetime.datetime(2026, 3, 8)},
         "lines, row 2, column bore [mm]: the spreadsheet took it for a date or a time; format the "
         'cell as text and write it with its unit, such as "3/8 in"'),
        ({"I2": "=7.5+0.25"},
         "lines, row 2, column bore [mm]: the formula has no value; open the file in a spreadsheet "
         "and save it, or write the number"),
        ({"I2": "#REF!"},
         'lines, row 2, column bore [mm]: "#REF!" is an error of the spreadsheet; write a value'),
    ],
)  # fmt: skip
def test_cells_that_a_spreadsheet_spoils(cells, message):
    assert any(line.startswith(message) for line in mistakes_of(workbook(**cells), "mine.xlsx"))
