"""Materials by the words of a line, and the handbook's bends and spans by size.

Rows in inches: AC 43.13-1B tables 9-2 (from memory) and 9-3 (read); spans of aluminium from a
mechanic's handbook (from memory), of steel from MIL-H-8891A (read). Densities and moduli: handbook
values from memory.
"""

import pytest

from flowsim.physics.course.line_materials import (
    ASSUMED_HOSE_WALL,
    FITTING_SPAN_SHARE,
    MATERIALS,
    largest_span,
    least_bend_radius,
    wall_material,
)

INCH = 0.0254
BENDS = {
    ("aluminium", 4): 9 / 16, ("aluminium", 5): 3 / 4, ("aluminium", 6): 15 / 16,
    ("aluminium", 8): 1.25,
    ("steel", 4): 7 / 8, ("steel", 5): 1.125, ("steel", 6): 1.3125, ("steel", 8): 1.75,
}  # fmt: skip
SPANS = {
    ("aluminium", 4): 13.5, ("aluminium", 5): 15.0, ("aluminium", 6): 16.5, ("aluminium", 8): 19.0,
    ("steel", 4): 16.0, ("steel", 5): 18.0, ("steel", 6): 20.0, ("steel", 8): 23.0,
}  # fmt: skip
HOSE = {3 / 16: 3.00, 1 / 4: 3.38, 5 / 16: 4.00, 13 / 32: 4.63, 1 / 2: 5.50}  # bore: bend
NEAR = 1.5e-4
"""[m] A size off by no more counts as that size."""


class TestMaterials:
    @pytest.mark.parametrize(
        ("words", "material"),
        [
            ("aluminium tube", "aluminium"),
            ("Aluminum 5052-O tube", "aluminium"),
            ("STAINLESS STEEL TUBE", "steel"),
            ("soft-copper tube", "copper"),
            ("brass pipe", "brass"),
            ("plastic tube", "plastic"),
            ("nylon-12 tube", "plastic"),
            ("polyurethane tube", "plastic"),
            ("PTFE tube", "plastic"),
            ("vinyl tube", "plastic"),
            ("clear PVC tube", "plastic"),
            ("polyethylene tube", "plastic"),
            ("rubber-hose", "hose"),
            ("steel-braided PTFE hose", "hose"),
            ("glass tube", None),
            ("steelwork", None),
            ("", None),
        ],
    )
    def test_by_their_words(self, words, material) -> None:
        assert wall_material(words) is (None if material is None else MATERIALS[material])

    def test_properties(self) -> None:
        """Density [kg/m3] and modulus [GPa] from memory of common tables; hose is an estimate."""
        rows = {
            "aluminium": (2700.0, 69.0, False, "aluminium"),
            "steel": (7850.0, 200.0, False, "steel"),
            "copper": (8940.0, 117.0, False, None),
            "brass": (8500.0, 100.0, False, None),
            "plastic": (1150.0, 0.3, True, None),
            "hose": (1300.0, None, True, None),
        }
        assert set(MATERIALS) == set(rows)
        for name, (density, modulus, is_soft, table) in rows.items():
            material = MATERIALS[name]
            assert (material.name, material.density) == (name, density)
            assert (material.is_soft, material.table) == (is_soft, table)
            expected = None if modulus is None else pytest.approx(1e9 * modulus)
            assert material.modulus == expected
            assert material.source

    def test_shares(self) -> None:
        assert FITTING_SPAN_SHARE == 0.8  # "about 20 % less"
        assert ASSUMED_HOSE_WALL == 0.003


class TestBends:
    @pytest.mark.parametrize(("material", "dash"), BENDS)
    @pytest.mark.parametrize("off", [0.0, 1e-4, -1e-4, NEAR])
    def test_every_row_and_sizes_so_near_that_they_count(self, material, dash, off) -> None:
        found = least_bend_radius(MATERIALS[material], dash / 16 * INCH + off, 1.0)
        assert found is not None
        assert found.value == pytest.approx(BENDS[material, dash] * INCH, rel=1e-12)
        assert found.exact is True
        assert found.source == "AC 43.13-1B table 9-2 (from memory)"

    @pytest.mark.parametrize("bore", HOSE)
    @pytest.mark.parametrize("off", [0.0, NEAR])
    def test_hose(self, bore, off) -> None:
        found = least_bend_radius(MATERIALS["hose"], None, bore * INCH + off)
        assert found is not None
        assert (found.value, found.exact) == (pytest.approx(HOSE[bore] * INCH, rel=1e-12), True)
        assert found.source == "AC 43.13-1B table 9-3, hose to MIL-H-8794 (read)"

    def test_between_sizes_the_next_larger(self) -> None:
        for size in (6e-3, 6.1e-3):  # below 1/4 in, 6.35 mm
            found = least_bend_radius(MATERIALS["aluminium"], size, 4e-3)
            assert found is not None
            assert (found.value, found.exact) == (pytest.approx(9 / 16 * INCH), False)
        found = least_bend_radius(MATERIALS["steel"], 0.25 * INCH + 1.6e-4, 4e-3)
        assert found is not None
        assert (found.value, found.exact) == (pytest.approx(1.125 * INCH), False)

    def test_no_table_no_value(self) -> None:
        assert least_bend_radius(MATERIALS["aluminium"], 0.5 * INCH + 1.6e-4, 0.01) is None
        assert least_bend_radius(MATERIALS["hose"], None, 0.5 * INCH + 1.6e-4) is None
        assert least_bend_radius(MATERIALS["aluminium"], None, 8e-3) is None
        assert least_bend_radius(MATERIALS["copper"], 0.25 * INCH, 4e-3) is None
        assert least_bend_radius(None, 0.25 * INCH, 4e-3) is None


class TestSpans:
    @pytest.mark.parametrize(("material", "dash"), SPANS)
    @pytest.mark.parametrize("off", [0.0, 1e-4, -1e-4, -NEAR])
    def test_every_row_and_sizes_so_near_that_they_count(self, material, dash, off) -> None:
        found = largest_span(MATERIALS[material], dash / 16 * INCH + off)
        assert found is not None
        assert found.value == pytest.approx(SPANS[material, dash] * INCH, rel=1e-12)
        assert found.exact is True
        assert (
            found.source
            == {
                "aluminium": "mechanic's handbook table, aluminium (from memory)",
                "steel": "MIL-H-8891A table II, steel (read)",
            }[material]
        )

    def test_between_sizes_the_next_smaller(self) -> None:
        found = largest_span(MATERIALS["steel"], 0.5 * INCH - 1.6e-4)
        assert found is not None
        assert (found.value, found.exact) == (pytest.approx(20.0 * INCH), False)
        found = largest_span(MATERIALS["aluminium"], 0.25 * INCH + 1.6e-4)
        assert found is not None
        assert (found.value, found.exact) == (pytest.approx(13.5 * INCH), False)
        large = largest_span(MATERIALS["aluminium"], 1.0 * INCH)
        assert large is not None
        assert (large.value, large.exact) == (pytest.approx(19.0 * INCH), False)

    def test_hose(self) -> None:
        for outside_diameter in (None, 0.015):
            found = largest_span(MATERIALS["hose"], outside_diameter)
            assert found is not None
            assert (found.value, found.exact) == (pytest.approx(24.0 * INCH), True)
            assert found.source == "AC 43.13-1B, hose every 24 in (read)"

    def test_no_table_no_value(self) -> None:
        assert largest_span(MATERIALS["aluminium"], 0.25 * INCH - 1.6e-4) is None
        assert largest_span(MATERIALS["aluminium"], None) is None
        assert largest_span(MATERIALS["copper"], 0.25 * INCH) is None
        assert largest_span(MATERIALS["plastic"], None) is None
        assert largest_span(None, 0.25 * INCH) is None


def test_a_comma_does_not_hide_the_hose() -> None:
    assert wall_material("PTFE hose, steel braid") is MATERIALS["hose"]
