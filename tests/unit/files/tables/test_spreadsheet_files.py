"""Files as spreadsheets write them: separators, decimal commas, marks; text is never a formula."""

import io
import re
import zipfile
from pathlib import Path

import openpyxl
import pytest

from flowsim.errors import InputError
from flowsim.files.case.reader import read_draft
from flowsim.files.tables.reader import read_table_bytes, table_bytes

CASES = Path(__file__).parents[4] / "cases"


def data_of(name: str):
    return read_draft((CASES / name / "case.toml").read_text(encoding="utf-8"), name).data


def as_semicolons(content: bytes) -> str:
    """What a spreadsheet in a country of decimal commas saves."""
    import csv

    rows = csv.reader(io.StringIO(content.decode("utf-8-sig"), newline=""))
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";", lineterminator="\r\n")
    width = 14
    for row in rows:
        made = [re.sub(r"(?<![0-9.])([0-9]+)\.([0-9]+)", r"\1,\2", cell)
                if re.match(r"[-'0-9]", cell) and not cell.startswith("'-14 in;") else cell
                for cell in row]  # fmt: skip
        writer.writerow(made + [""] * (width - len(made)))
    return out.getvalue()


@pytest.mark.parametrize("name", sorted(path.parent.name for path in CASES.glob("*/case.toml")))
@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16"])
def test_semicolons_and_decimal_commas(name, coding):
    data = data_of(name)
    text = as_semicolons(table_bytes(data, ".csv"))
    assert ";" in text
    assert re.search(r";-?[0-9]+,[0-9]+;", text)
    assert (
        read_table_bytes(text.encode(coding), "mine.csv").data
        == read_table_bytes(table_bytes(data, ".csv"), "mine.csv").data
    )


def test_tabs_sep_line_remarks_and_names_without_brackets():
    data = data_of("one-tank")
    text = table_bytes(data, ".csv").decode("utf-8-sig").replace('"', "")
    plain = "\r\n".join(line for line in text.splitlines() if not line.startswith("#"))
    title = "One tank behind the spar, one line"
    note = data["note"]
    rows = []
    for line in plain.splitlines():
        whole = next((one for one in (title, note) if one in line), "")
        kept = line.replace(whole, "\0") if whole else line
        rows.append(kept.replace(",", "\t").replace("\0", whole))
    made = "sep=\t\n# mine\n" + "\n".join(rows).replace("[lines]", "Lines")
    assert (
        read_table_bytes(made.encode(), "mine.csv").data
        == read_table_bytes(table_bytes(data, ".csv"), "mine.csv").data
    )


def test_rows_in_another_order_come_in_that_of_their_numbers():
    data = data_of("tandem")
    lines = table_bytes(data, ".csv").decode("utf-8-sig").splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith("of,which,point"))
    stop = next(n for n in range(start, len(lines)) if not lines[n])
    lines[start + 1 : stop] = sorted(lines[start + 1 : stop], reverse=True)
    made = read_table_bytes("\n".join(lines).encode(), "mine.csv").data
    assert [line.get("via") for line in made["line"]] == [n.get("via") for n in data["line"]]
    assert made["tank"][0]["root"] == data["tank"][0]["root"]


def test_units_in_cells_and_headings_and_columns_of_ones_own():
    data = data_of("one-tank")
    text = table_bytes(data, ".csv").decode("utf-8-sig")
    text = text.replace("bore [mm],bore from", "Bore (mm),Bore from", 1)
    text = text.replace("1540,0,1380", "60 5/8 in,0,4' 6\"", 1)
    text = text.replace("[joints]\r\nwhat,", "[joints]\r\n# mine,what,")
    text = text.replace("\r\njunction,floor,,", "\r\n# under the seat,junction,floor,,")
    text = text.replace("\r\ndrain,floor drain,,", "\r\n,drain,floor drain,,")
    text = text.replace("\r\ndrain,tank drain,,", "\r\n,drain,tank drain,,")
    text = text.replace("\r\nfuel.kind", "\r\n# a remark, of two cells\r\nfuel.kind")
    made = read_table_bytes(text.encode(), "mine.csv").data
    assert made["line"][0]["bore"]["value"] == "7.75 mm"
    assert made["line"][0]["via"][0] == ["60 5/8 in", "0 mm", "4' 6\""]
    assert [drain["name"] for drain in made["drain"]] == ["floor drain", "tank drain"]


def test_nothing_in_a_workbook_is_a_formula():
    data = data_of("tandem")
    data["title"], data["note"] = "=1+1", "@sum(a1)"
    data["line"][0]["name"] = "+left front"
    content = table_bytes(data, ".xlsx")
    book = openpyxl.load_workbook(io.BytesIO(content))
    cells = [cell for sheet in book for row in sheet for cell in row if cell.value is not None]
    assert not [cell for cell in cells if cell.data_type == "f"]
    risky = [cell for cell in cells if cell.data_type == "s" and cell.value[:1] in "=+-@"]
    assert {"=1+1", "@sum(a1)", "+left front"} <= {cell.value for cell in risky}
    assert all(cell.quotePrefix for cell in risky)
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        sheets = [n for n in packed.namelist() if n.startswith("xl/worksheets/sheet")]
        assert not any(b"<f>" in packed.read(name) for name in sheets)


def test_nothing_in_a_csv_file_begins_like_a_formula():
    import csv

    data = data_of("tandem")
    data["title"], data["note"] = "=1+1", "@sum(a1)"
    text = table_bytes(data, ".csv").decode("utf-8-sig")
    cells = [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]
    assert "'=1+1" in cells
    numbers = re.compile(r"-?[0-9.]+")
    assert not [c for c in cells if c[:1] in "=+-@" and c and not numbers.fullmatch(c)]


def test_numbers_of_a_workbook_are_numbers_with_their_decimals():
    book = openpyxl.load_workbook(io.BytesIO(table_bytes(data_of("tandem"), ".xlsx")))
    outlets = book["outlets"]
    heading = [cell.value for cell in outlets[1]].index("bore [in]")
    bore = outlets[2][heading]
    assert (bore.value, bore.number_format) == (0.3, "0.00")
    bore.value = 0.3125
    out = io.BytesIO()
    book.save(out)
    made = read_table_bytes(out.getvalue(), "mine.xlsx").data
    assert made["tank"][0]["outlet"][0]["bore"] == "0.3125 in"


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "holds no sheet"),
        (b"a,b\n", "stands before the name of a sheet"),
        (b"\xff\xff\x00", "not text in UTF-8"),
        (b'[lines]\n"a\x00', ""),
        (b"PK\x03\x04 broken", "cannot be read as a workbook"),
        (b"[lines]\n" + b"a,b\n" * 6000, "has more than 5000 rows"),
    ],
)
def test_what_is_no_file_of_tables_is_refused(content, words):
    with pytest.raises(InputError) as caught:
        read_table_bytes(content, "mine")
    assert words in str(caught.value)


def test_a_workbook_without_its_parts_is_refused():
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        packed.writestr("xl/workbook.xml", "<x")
    with pytest.raises(InputError, match="cannot be read as a workbook"):
        read_table_bytes(out.getvalue(), "mine.xlsx")
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", b"\0" * (65 * 1024 * 1024))
    with pytest.raises(InputError, match="unpacks to more than 64 MiB"):
        read_table_bytes(out.getvalue(), "mine.xlsx")


@pytest.mark.parametrize("seed", range(40))
def test_whatever_happens_to_a_file_there_are_only_mistakes(seed):
    """Cells lost, moved and overwritten, bytes broken: a case, or mistakes in words."""
    import random

    generator = random.Random(seed)
    data = data_of(generator.choice(["tandem", "four-outlets"]))
    if seed % 4 == 0:
        content = bytearray(table_bytes(data, ".xlsx"))
        for _ in range(generator.randint(1, 4)):
            content[generator.randrange(len(content))] = generator.randrange(256)
    else:
        rows = [line.split(",") for line in table_bytes(data, ".csv").decode().split("\r\n")]
        cells = [(r, c) for r, row in enumerate(rows) for c in range(len(row))]
        for _ in range(generator.randint(1, 30)):
            (r, c), (other, place) = generator.sample(cells, 2)
            if r < 8:
                continue
            odd = ["", "none", "=1", "[points]", "#", "1e999", "-", ";", '"', "\x00", "nan"]
            rows[r][c] = generator.choice([*odd, rows[other][place]])
        content = "\r\n".join(map(",".join, rows)).encode()
    found = []
    try:
        read_table_bytes(bytes(content), "mine")
    except InputError as error:
        found = error.mistakes
    assert all(mistake.problem and mistake.remedy for mistake in found)
    assert all(mistake.line is None or not mistake.item for mistake in found)
