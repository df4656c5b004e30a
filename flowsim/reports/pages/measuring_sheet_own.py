"""What a case says of a thing itself, and what comes from the other side's mirror."""

from typing import Any

from flowsim.files.case.draft import Draft
from flowsim.files.case.words import plain


class OwnValues:
    """Tells what is written in the case and what was taken over by a mirror."""

    def __init__(self, draft: Draft | None) -> None:
        data = None if draft is None else draft.data
        self._rows: dict[tuple[str, str], dict[str, Any]] = {}
        self._is_known = data is not None
        for kind, rows in (data or {}).items():
            for row in rows if isinstance(rows, list) else ():
                if isinstance(row, dict) and isinstance(row.get("name"), str):
                    self._rows[kind, plain(row["name"])] = row

    def is_mirrored(self, kind: str, name: str, key: str, outlet: str = "") -> bool:
        """Tell whether a thing's value is the other side's.

        Parameters
        ----------
        kind, name
            The thing: ``line``, ``tank``...
        key
            Its key.
        outlet
            The name of an outlet of the tank ``name``, if it is about that.

        Returns
        -------
        bool
        """
        if not self._is_known or not name:
            return False
        row: Any = self._rows.get((kind, name))
        if row is not None and outlet:
            rows = row.get("outlet", ())
            named = (r for r in rows if isinstance(r, dict) and plain(str(r.get("name"))) == outlet)
            own = next(named, None)
            row = own if own is not None else (None if "mirror" in row else {})
        return row is None or ("mirror" in row and key not in row)
