"""From one edit to its cuts in the text; nothing here judges whether they are right."""

from collections.abc import Sequence
from typing import Any

from flowsim.files.toml.sheet import EditError, TextCut, TextSheet, line_end, named
from flowsim.files.toml.spans import KeyPath, TableHeading, TextSpan, spans_of
from flowsim.files.toml.values import at, written, written_key


def set_value(sheet: TextSheet, path: KeyPath, value: Any) -> list[TextCut]:
    """Replace a value, or put a new key into its table."""
    span = sheet.spans.values.get(path)
    if span is not None:
        if any(a >= span[0] and b <= span[1] for a, b in sheet.spans.remarks(sheet.text)):
            raise EditError(f"{named(path)} holds remarks of its own; change what is in it")
        return [(*span, written(value))]
    *above, key = path
    holder = at(sheet.data, tuple(above))
    if not isinstance(key, str) or not isinstance(holder, dict):
        raise EditError(f"there is nothing at {named(path)}")
    if key in holder:
        raise EditError(f"{named(path)} is a section of its own; change what is in it")
    if sheet.is_inline(tuple(above)):
        return [_into_inline(sheet, tuple(above), key, value)]
    return [_into_section(sheet, tuple(above), key, value)]


def _into_inline(sheet: TextSheet, table: KeyPath, key: str, value: Any) -> TextCut:
    """Put a key into ``{ ... }``."""
    new = f"{written_key(key)} = {written(value)}"
    start, end = sheet.spans.values[table]
    inside = [path for path in sheet.spans.pairs if path[: len(table)] == table]
    inside = [path for path in inside if _directly_inside(sheet, table, path)]
    before = _before(sheet, table, key, inside)
    if not inside:
        return start, end, f"{{ {new} }}"
    if before is None:
        first = sheet.spans.pairs[inside[0]][0]
        return first, first, f"{new}, "
    stop = sheet.spans.pairs[before][1]
    return stop, stop, f", {new}"


def _directly_inside(sheet: TextSheet, table: KeyPath, path: KeyPath) -> bool:
    """Tell whether a pair stands in this table itself, not in a value within it."""
    return len(path) > len(table) and not any(
        path[:size] in sheet.spans.values for size in range(len(table) + 1, len(path))
    )


def _before(sheet: TextSheet, table: KeyPath, key: str, there: list[KeyPath]) -> KeyPath | None:
    """Find the pair after which a new key belongs, None if it belongs first."""
    order = list(sheet.order(table))
    if key not in order:
        return there[-1] if there else None
    place = order.index(key)
    earlier = [
        path
        for path in there
        if path[len(table)] not in order or order.index(str(path[len(table)])) < place
    ]
    return earlier[-1] if earlier else None


def _into_section(sheet: TextSheet, table: KeyPath, key: str, value: Any) -> TextCut:
    """Put a key on a line of its own under a heading."""
    text, end = sheet.text, line_end(sheet.text)
    new = f"{written_key(key)} = {written(value)}"
    heading = next((h for h in sheet.spans.headings if h.path == table), None)
    if heading is None:
        return _into_unheaded(sheet, table, new)
    there = [path for path in heading.pairs if path[: len(table)] == table]
    before = _before(sheet, table, key, there)
    if before is None and not table:
        start = 1 if text.startswith("\ufeff") else 0
        first = sheet.spans.pairs[there[0]][0] if there else start
        start = sheet.line(first, first)[0] if there else start
        return start, start, f"{new}{end}"
    span = heading.span if before is None else sheet.spans.pairs[before]
    begin, stop = sheet.line(*span)
    blank = "" if before is None else text[begin : span[0]]
    blank = blank if not blank.strip() else ""
    if stop and not text[:stop].endswith("\n"):
        return stop, stop, f"{end}{blank}{new}"
    return stop, stop, f"{blank}{new}{end}"


def _into_unheaded(sheet: TextSheet, table: KeyPath, new: str) -> TextCut:
    """Put a key into a table that has no heading: made by dotted keys, or by headings below it."""
    for heading in sheet.spans.headings:
        size = len(table)
        dotted = [p for p in heading.pairs if p[:size] == table and len(heading.path) < size]
        if dotted:
            start, stop = sheet.spans.pairs[dotted[-1]]
            lead = ".".join(written_key(str(s)) for s in table[len(heading.path) :])
            begin, after = sheet.line(start, stop)
            blank = sheet.text[begin:start]
            end = line_end(sheet.text)
            lead_end = "" if sheet.text[:after].endswith("\n") else end
            return after, after, f"{lead_end}{blank}{lead}.{new}{end if not lead_end else ''}"
    below = sheet.headings(table)
    if not below:
        raise EditError(f"there is nothing at {named(table)}")
    start = _with_remarks_above(sheet, below[0].span[0])
    end = line_end(sheet.text)
    return start, start, f"[{_dotted(table)}]{end}{new}{end}{end}"


def unset(sheet: TextSheet, path: KeyPath) -> list[TextCut]:
    """Take out a key, or a whole section with everything in it."""
    if isinstance(path[-1], int) and path[:-1] in sheet.spans.values:
        return remove(sheet, path)
    if path in sheet.spans.pairs:
        holder = path[:-1]
        if sheet.is_inline(holder) or any(
            holder[:size] in sheet.spans.values for size in range(1, len(holder))
        ):
            return [_out_of_inline(sheet, path)]
        return _without(sheet, sheet.spans.pairs[path])
    found: list[TextCut] = []
    for heading in sheet.headings(path):
        found += _section_out(sheet, heading)
    for heading in sheet.spans.headings:
        if heading.path[: len(path)] != path:
            for pair in heading.pairs:
                if pair[: len(path)] == path:
                    found += _without(sheet, sheet.spans.pairs[pair])
    if not found:
        raise EditError(f"{named(path)} cannot be taken out where it stands")
    return found


def _section_out(sheet: TextSheet, heading: TableHeading) -> list[TextCut]:
    """Cut a heading with its keys, and one blank line above it."""
    begin, stop = sheet.line(*heading.span)
    above = sheet.text.rfind("\n", 0, max(begin - 1, 0)) + 1
    if begin and above < begin and not sheet.text[above:begin].strip(" \t\r\n"):
        begin = above
    found = [(begin, stop, "")]
    for pair in heading.pairs:
        found += _without(sheet, sheet.spans.pairs[pair])
    return found


def _out_of_inline(sheet: TextSheet, path: KeyPath) -> TextCut:
    """Cut a key out of ``{ ... }`` with one of its commas."""
    start, end = sheet.spans.pairs[path]
    holder = path[:-1]
    while holder not in sheet.spans.values:
        holder = holder[:-1]
    inside = [p for p in sheet.spans.pairs if p[: len(holder)] == holder]
    inside = [p for p in inside if _directly_inside(sheet, holder, p)]
    place = inside.index(path)
    if place + 1 < len(inside):
        return start, sheet.spans.pairs[inside[place + 1]][0], ""
    if place:
        return sheet.spans.pairs[inside[place - 1]][1], end, ""
    return (*sheet.spans.values[holder], "{}")


def _without(sheet: TextSheet, span: TextSpan) -> list[TextCut]:
    """Cut the lines of a piece of text; remarks inside it that have lines of their own stay."""
    start, stop = sheet.line(*span)
    cuts: list[TextCut] = []
    for begin, end in sheet.spans.remarks(sheet.text):
        if start <= begin and end <= stop:
            cuts.append((start, begin, ""))
            start = end
    return [*cuts, (start, stop, "")]


def rename(sheet: TextSheet, path: KeyPath, new: str) -> list[TextCut]:
    """Write another key; only where it is written once, as the last part of a pair's key."""
    if path not in sheet.spans.pairs:
        raise EditError(f"{named(path)} is not a key of its own")
    start = sheet.spans.pairs[path][0]
    stop = sheet.text.index("=", _key_end(sheet.text, start))
    old = sheet.text[start:stop].rstrip()
    last = written_key(str(path[-1]))
    if not old.endswith(last):
        raise EditError(f"the key of {named(path)} is written in another way")
    place = start + len(old) - len(last)
    return [(place, place + len(last), written_key(new))]


def _key_end(text: str, start: int) -> int:
    """Step over a quoted key, in which an equals sign may stand."""
    if text[start] in "\"'":
        return text.index(text[start], start + 1)
    return start


def insert(sheet: TextSheet, path: KeyPath, value: Any) -> list[TextCut]:
    """Put an element into a list."""
    *above, index = path
    holder = tuple(above)
    if not isinstance(index, int):
        raise EditError(f"{named(path)} is not an entry of a list")
    if holder not in sheet.spans.values:
        try:
            at(sheet.data, holder)
        except LookupError:
            return set_value(sheet, holder, [value])
        if not isinstance(value, dict):
            raise EditError(f"{named(holder)} is a list of sections")
        return add_table(sheet, path, value)
    items = [sheet.spans.values[p] for p in sheet.spans.children(holder)]
    start, end = sheet.spans.values[holder]
    new = written(value)
    if not items:
        return [(start + 1, start + 1, new)]
    if index < len(items):
        place = items[index][0]
        return [(place, place, new + _separator(sheet, items[index]))]
    last = items[-1]
    comma = _comma_after(sheet.text, last[1], end)
    parted = _separator(sheet, last)
    if comma is None:
        return [(last[1], last[1], parted + new)]
    return [(comma, comma, parted.removeprefix(",") + new + ",")]


def _separator(sheet: TextSheet, beside: TextSpan) -> str:
    """Give what parts elements of a list, as its neighbour stands: on its own line or beside."""
    begin = sheet.line(*beside)[0]
    blank = sheet.text[begin : beside[0]]
    if blank.strip() or not begin or beside[0] == begin:
        return ", "
    return f",{line_end(sheet.text)}{blank}"


def _comma_after(text: str, place: int, end: int) -> int | None:
    """Find where a comma after an element ends, remarks stepped over."""
    while place < end:
        if text[place] == ",":
            return place + 1
        place = text.find("\n", place) + 1 if text[place] == "#" else place + 1
    return None


def remove(sheet: TextSheet, path: KeyPath) -> list[TextCut]:
    """Take an element out of a list; it takes only its own line, and no remark's."""
    *above, index = path
    holder = tuple(above)
    if holder not in sheet.spans.values or not isinstance(index, int):
        return unset(sheet, path)
    items = [sheet.spans.values[p] for p in sheet.spans.children(holder)]
    end = sheet.spans.values[holder][1] - 1
    span = items[index]
    begin, stop = sheet.line(*span)
    if sheet.owns_its_lines(span) and begin > sheet.spans.values[holder][0] and stop <= end + 1:
        return _without(sheet, span)
    comma = _comma_after(
        sheet.text, span[1], items[index + 1][0] if index + 1 < len(items) else end
    )
    if index + 1 < len(items) and not _has_remark(sheet, span[1], items[index + 1][0]):
        return [(span[0], items[index + 1][0], "")]
    if index and not _has_remark(sheet, items[index - 1][1], span[0]):
        return [(items[index - 1][1], span[1], "")]
    return [(*span, "")] if comma is None else [(*span, ""), (comma - 1, comma, "")]


def _has_remark(sheet: TextSheet, start: int, end: int) -> bool:
    return "#" in sheet.text[start:end]


def move(sheet: TextSheet, path: KeyPath, to: int) -> list[TextCut]:
    """Put an element of a list elsewhere in it; remarks stay where they are."""
    *above, index = path
    holder = tuple(above)
    items = at(sheet.data, holder)
    if not isinstance(index, int) or not isinstance(items, list):
        raise EditError(f"{named(path)} is not an entry of a list")
    if holder in sheet.spans.values:
        spans = [sheet.spans.values[p] for p in sheet.spans.children(holder)]
    else:
        spans = [_block(sheet, (*holder, place)) for place in range(len(items))]
    texts = [sheet.text[a:b] for a, b in spans]
    texts.insert(to, texts.pop(index))
    return [
        (*span, text)
        for span, text in zip(spans, texts, strict=True)
        if sheet.text[span[0] : span[1]] != text
    ]


def _block(sheet: TextSheet, path: KeyPath) -> TextSpan:
    """Give the text of one section of a list, from its heading to its last key."""
    mine = sheet.headings(path)
    every = sheet.spans.headings
    first = every.index(mine[0])
    if every[first : first + len(mine)] != mine:
        raise EditError(f"the sections of {named(path)} do not stand together; move them as text")
    return mine[0].span[0], _last_end(sheet, mine[-1])


def _last_end(sheet: TextSheet, heading: TableHeading) -> int:
    return max([heading.span[1], *(sheet.spans.pairs[pair][1] for pair in heading.pairs)])


def add_table(sheet: TextSheet, path: KeyPath, value: dict[str, Any]) -> list[TextCut]:
    """Put in a section with a heading of its own."""
    end = line_end(sheet.text)
    *above, last = path
    place = path if isinstance(last, str) else tuple(above)
    if isinstance(last, int) and place in sheet.spans.values:
        return insert(sheet, path, value)
    if any(place[:size] in sheet.spans.values for size in range(1, len(place))):
        return set_value(sheet, place, value if isinstance(last, str) else [value])
    heading = f"[{_dotted(place)}]" if isinstance(last, str) else f"[[{_dotted(place)}]]"
    keys = sorted(value, key=lambda key: _rank(sheet.order(path), key))
    lines = [heading, *(f"{written_key(key)} = {written(value[key])}" for key in keys)]
    new = end.join(lines) + end
    there = [] if isinstance(last, str) else sheet.headings(place)
    if isinstance(last, int) and there and last < len(at(sheet.data, place)):
        start = _with_remarks_above(sheet, sheet.headings(path)[0].span[0])
        return [(start, start, f"{new}{end}")]
    return [_after(sheet, _heading_before(sheet, place, there), f"{end}{new}")]


def _heading_before(sheet: TextSheet, place: KeyPath, there: list[TableHeading]) -> TableHeading:
    """Find the section after which a new one belongs."""
    if there:
        return there[-1]
    every = sheet.spans.headings
    if len(place) > 1:
        inside = sheet.headings(place[:-1])
        if inside:
            return inside[-1]
    order = list(sheet.order(()))
    mine = _rank(order, str(place[0]))
    earlier = [h for h in every[1:] if _rank(order, str(h.path[0])) <= mine]
    return earlier[-1] if earlier else every[0]


def _after(sheet: TextSheet, heading: TableHeading, new: str) -> TextCut:
    """Put text after the last line of a section."""
    place = _last_end(sheet, heading)
    _, stop = sheet.line(place, place)
    if not place and not heading.pairs:
        stop = _with_remarks_above(sheet, sheet.spans.headings[1].span[0]) if len(
            sheet.spans.headings) > 1 else len(sheet.text)  # fmt: skip
    if stop and not sheet.text[:stop].endswith("\n"):
        return stop, stop, line_end(sheet.text) + new
    return stop, stop, new


def _with_remarks_above(sheet: TextSheet, start: int) -> int:
    """Step up over the remarks that stand right above a heading."""
    begin = sheet.line(start, start)[0]
    while True:
        above = sheet.text.rfind("\n", 0, max(begin - 1, 0)) + 1
        if above >= begin or not sheet.text[above:begin].lstrip(" \t\ufeff").startswith("#"):
            return begin
        begin = above if above or not sheet.text.startswith("\ufeff") else 1


def _rank(order: Sequence[str], key: str) -> int:
    return list(order).index(key) if key in order else len(order)


def _dotted(path: KeyPath) -> str:
    return ".".join(written_key(step) for step in path if isinstance(step, str))


def place_to_break(text: str, start: int, latest: int) -> int | None:
    """Find where a line may be broken: before an element of a list that is open there.

    Parameters
    ----------
    text
        TOML.
    start
        Begin of the line.
    latest
        The break must lie between the two.

    Returns
    -------
    int or None
        None where no list is open.
    """
    found = None
    for path, (a, _) in spans_of(text).values.items():
        if isinstance(path[-1], int) and start < a <= latest and text[start:a].strip():
            found = a if found is None else max(found, a)
    return found
