"""Roughness by the exact name of a material, by handbook values."""

import pytest

from flowsim.errors import DomainError
from flowsim.physics.losses.roughness import ROUGHNESS, roughness


class TestRoughness:
    def test_by_exact_name(self) -> None:
        assert roughness("aluminium tube") == 1.5e-6
        assert roughness("rubber hose") == 30e-6
        assert all(1e-6 <= value <= 50e-6 for value in ROUGHNESS.values())

    @pytest.mark.parametrize("name", ["aluminium", "Rubber hose", "nylon", ""])
    def test_never_by_likeness(self, name: str) -> None:
        with pytest.raises(DomainError, match="no roughness is known"):
            roughness(name)

    def test_convoluted_hose(self) -> None:
        with pytest.raises(DomainError, match="measured pressure drop"):
            roughness("convoluted hose")

    def test_roughness_by_material(self) -> None:
        """Handbook values in micrometres; the two steels from memory; nylon and
        polyurethane as plastic.
        """
        micrometres = {
            "aluminium tube": 1.5, "copper tube": 1.5, "brass tube": 1.5,
            "stainless steel tube": 2.0, "steel tube": 45.0, "plastic tube": 1.5,
            "rubber hose": 30.0, "plastic-lined hose": 1.5, "nylon tube": 1.5,
            "polyurethane tube": 1.5,
        }  # fmt: skip
        assert {name: 1e6 * value for name, value in ROUGHNESS.items()} == pytest.approx(
            micrometres
        )
        for name in ("corrugated metal hose", "convoluted hose"):
            with pytest.raises(DomainError, match=f'"{name}" loses 3 to 10 times'):
                roughness(name)
        with pytest.raises(DomainError, match='known are "aluminium tube", "copper tube", "brass'):
            roughness("glass")
