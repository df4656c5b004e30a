"""Friction against classical laws, chart values and worked examples.

Worked examples: answers as printed in public transcriptions of the books' examples; the printed
pages were not seen. Tolerance 1 %, or the book's own rounding where that is coarser.
"""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.friction import darcy_factor
from flowsim.physics.losses import head_loss, pipe_loss, reynolds, velocity
from flowsim.system.parts import MinorLoss, Pipe

INCH, FOOT = 0.0254, 0.3048


def pipe(length: float, bore: float, roughness: float = 0.0, factor: float | None = None) -> Pipe:
    return Pipe(name="pipe", length=length, bore=bore, roughness=roughness, friction_factor=factor)


def flow_under(head: float, part: Pipe, nu: float) -> float:
    return float(brentq(lambda q: float(pipe_loss(part, q, nu)[0]) - head, 0.0, 10.0, xtol=1e-12))


class TestClassicalLaws:
    @pytest.mark.parametrize("Re", [4e3, 1e4, 3e4, 1e5])
    def test_blasius(self, Re: float) -> None:
        # H. Blasius 1913, 0.3164 Re^-1/4 for smooth pipe to Re 1e5 (from memory), to 2-3 %.
        assert darcy_factor(Re, 0.0) == pytest.approx(0.3164 * Re**-0.25, rel=0.03)

    @pytest.mark.parametrize("Re", [5e3, 1e5, 3e6])
    def test_prandtl_karman(self, Re: float) -> None:
        # L. Prandtl 1935: 1/sqrt(f) = 2 log10(Re sqrt(f)) - 0.8 (from memory).
        root = 1.0 / math.sqrt(float(darcy_factor(Re, 0.0)))
        assert root == pytest.approx(2.0 * math.log10(Re / root) - 0.8, abs=2e-3)

    @pytest.mark.parametrize("Re", [3.1e4, 1e5, 1e6, 1e7])
    def test_princeton_superpipe(self, Re: float) -> None:
        # B. J. McKeon, M. V. Zagarola, A. J. Smits, J. Fluid Mech. 538 (2005) 429, fit to measured
        # smooth-pipe data: 1/sqrt(f) = 1.930 log10(Re sqrt(f)) - 0.537 (from memory). Colebrook's
        # constants are older; the two are known to differ by up to about 3 %.
        f = 0.02
        for _ in range(60):
            f = (1.930 * math.log10(Re * math.sqrt(f)) - 0.537) ** -2
        assert darcy_factor(Re, 0.0) == pytest.approx(f, rel=0.03)

    @pytest.mark.parametrize("radius_over_grain", [15.0, 30.6, 60.0, 126.0, 252.0, 507.0])
    def test_nikuradse_fully_rough(self, radius_over_grain: float) -> None:
        # J. Nikuradse, VDI-Forschungsheft 361 (1933): 1/sqrt(f) = 1.74 + 2 log10(r/k), for his six
        # sands (from memory). Colebrook's 3.7 stands for his 3.71.
        f = (1.74 + 2.0 * math.log10(radius_over_grain)) ** -2
        assert darcy_factor(1e8, 0.5 / radius_over_grain) == pytest.approx(f, rel=0.005)

    @pytest.mark.parametrize(
        ("Re", "rough", "f"),
        [(1e4, 0.0, 0.0309), (1e5, 0.0, 0.0180), (1e6, 0.0, 0.0116), (1e5, 1e-3, 0.0222),
         (1e6, 1e-2, 0.0380), (1e8, 5e-2, 0.0716), (1e8, 1e-3, 0.0196), (1e4, 1e-2, 0.0431)],
    )  # fmt: skip
    def test_moody_chart(self, Re: float, rough: float, f: float) -> None:
        # L. F. Moody, Trans. ASME 66 (1944) 671: readings of his chart (from memory), good to 1 %.
        assert darcy_factor(Re, rough) == pytest.approx(f, rel=0.01)


class TestOwnTables:
    """Values of the project's hydraulics note, section 3 (calculated: regression only)."""

    Re = np.array([1500, 2000, 2100, 2300, 2500, 2700, 3000, 3500, 4000, 5000, 10000.0])

    def test_cautious(self) -> None:
        f = [0.0427, 0.0346, 0.0392, 0.0474, 0.0462, 0.0451, 0.0437, 0.0417, 0.0401, 0.0376, 0.0312]
        np.testing.assert_allclose(darcy_factor(self.Re, 1.9e-4), f, atol=1.01e-4)

    def test_churchill(self) -> None:
        f = [0.0427, 0.0320, 0.0307, 0.0308, 0.0352, 0.0397, 0.0431, 0.0425, 0.0408, 0.0381, 0.0313]
        np.testing.assert_allclose(darcy_factor(self.Re, 1.9e-4, "expected"), f, atol=1.01e-4)

    @pytest.mark.parametrize(
        ("bore_mm", "mm_per_metre"),
        [(4.57, (60, 196, 395, 961)), (6.2, (10, 47, 93, 225)), (7.75, (4.2, 16, 32, 78)),
         (9.5, (1.8, 6.3, 12, 30)), (10.9, (1.1, 2.3, 6.5, 16))],
    )  # fmt: skip
    def test_loss_per_metre(self, bore_mm: float, mm_per_metre: tuple[float, ...]) -> None:
        flow = np.array([20.0, 40.0, 60.0, 100.0]) / 3.6e6
        head, _ = pipe_loss(pipe(1.0, 1e-3 * bore_mm, 1.5e-6), flow, 0.65e-6)
        np.testing.assert_allclose(1e3 * head, mm_per_metre, rtol=0.045)  # two digits


class TestWorkedExamples:
    def test_capillary_of_geankoplis(self) -> None:
        # C. J. Geankoplis, Transport Processes, Ex. 2.10-1 p. 85, via a public transcription:
        # 2.22 mm x 0.317 m, 1.13 mPa s, 875 kg/m3, 65.5 mm of water (996): 0.275 m/s,
        # 1.066e-6 m3/s, Re 473. The book leaves out inlet development, as here.
        nu = 1.13e-3 / 875.0
        head = 0.0655 * 996.0 / 875.0
        flow = flow_under(head, pipe(0.317, 2.22e-3), nu)
        assert flow == pytest.approx(1.066e-6, rel=2e-3)
        assert velocity(flow, 2.22e-3) == pytest.approx(0.275, abs=5e-4)
        assert reynolds(flow, 2.22e-3, nu) == pytest.approx(473, abs=1)

    def test_laminar_water_of_cengel(self) -> None:
        # Y. A. Cengel, J. M. Cimbala, Fluid Mechanics, Ex. 8-2 p. 350, via a public transcription:
        # 3 mm, 9 m, 0.9 m/s, 1.519 mPa s, 1000 kg/m3 (Re 1777): 4.46 m.
        flow = 0.9 * 0.25 * math.pi * 0.003**2
        head, _ = pipe_loss(pipe(9.0, 0.003), flow, 1.519e-6)
        assert head == pytest.approx(4.46, abs=0.005)
        assert pipe_loss(pipe(9.0, 0.003), flow, 1.519e-6, "expected")[0] == pytest.approx(
            head, rel=1e-4
        )

    def test_gasoline_between_tanks_of_de_nevers(self) -> None:
        # N. de Nevers, Fluid Mechanics for Chemical Engineers, Ex. 6.5 p. 190, via a public
        # transcription: 10 m, 100 m x 0.1 m, Fanning 0.005: 3.13 m/s, 0.0246 m3/s.
        flow = flow_under(10.0, pipe(100.0, 0.1, factor=4 * 0.005), 0.6e-6)
        assert velocity(flow, 0.1) == pytest.approx(3.13, abs=0.005)
        assert flow == pytest.approx(0.0246, abs=5e-5)
        # The same with its roughness, 46 um: 3.34 m/s (computed for the note).
        assert velocity(flow_under(10.0, pipe(100.0, 0.1, 46e-6), 0.6e-6), 0.1) == pytest.approx(
            3.34, rel=0.01
        )

    def test_alcohol_of_natarajan(self) -> None:
        # G. Natarajan, Fluid Mechanics, Ex. 7.4 p. 262, via a public transcription: 90 L/min,
        # 5 m x 15 mm, k 0.045 mm, nu 1.6e-6, f 0.028: 34.27 m. By Colebrook 34.00 (computed).
        flow = 0.09 / 60.0
        given, _ = pipe_loss(pipe(5.0, 0.015, factor=0.028), flow, 1.6e-6)
        assert given == pytest.approx(34.27, rel=1e-3)
        full, _ = pipe_loss(pipe(5.0, 0.015, 0.045e-3), flow, 1.6e-6)
        assert full == pytest.approx(34.00, rel=1e-3)

    def test_pipe_with_minor_losses_of_schaschke(self) -> None:
        # C. Schaschke, Fluid Mechanics, Ex. 8.6 p. 204, via a public transcription: 15 m3/h,
        # 100 m x 50 mm, Fanning 0.0065, K 1.5, g 9.8: 12.292 m.
        flow = 15.0 / 3600.0
        head = pipe_loss(pipe(100.0, 0.05, factor=0.026), flow, 1e-6)[0]
        minor = MinorLoss(name="K", kind="stated", bore=0.05, k_inf=1.5)
        head = (head + head_loss(minor, flow, 1e-6)[0]) * STANDARD_GRAVITY / 9.8
        assert head == pytest.approx(12.292, abs=1e-3)

    def test_reservoir_of_cengel(self) -> None:
        # Cengel and Cimbala, Ex. 8-8 p. 377, via a public transcription: 6 L/s, 89 m x 50 mm, eps
        # 0.26 mm, K .5 + .6 + .2 + 1.06, far surface 4 m: near surface 31.8 m (f 0.0315).
        minor = MinorLoss(name="K", kind="stated", bore=0.05, k_inf=0.5 + 0.6 + 0.2 + 1.06)
        for part in (pipe(89.0, 0.05, factor=0.0315), pipe(89.0, 0.05, 0.26e-3)):
            head = pipe_loss(part, 0.006, 1.307e-6)[0] + head_loss(minor, 0.006, 1.307e-6)[0]
            assert 4.0 + head == pytest.approx(31.8, abs=0.05)

    def test_copper_plumbing_of_munson(self) -> None:
        # B. R. Munson, D. F. Young, T. H. Okiishi, Fundamentals, Ex. 8.8 p. 451, via a public
        # transcription: 12 gal/min in 0.0625 ft copper, 60 ft, f 0.0215, four elbows 1.5, valve 10,
        # faucet 2 (exit 0.5 in), rise 20 ft: 10.7, 21.3 and 30.5 psi.
        flow, bore, psi_per_metre = 0.0267 * FOOT**3, 0.0625 * FOOT, 62.4 / 144.0 / FOOT
        kinetic = (velocity(flow, 0.5 * INCH) ** 2 - velocity(flow, bore) ** 2) / (
            2 * STANDARD_GRAVITY
        )
        bare = 20.0 * FOOT + kinetic
        friction = pipe_loss(pipe(60.0 * FOOT, bore, factor=0.0215), flow, 1.1e-6)[0]
        minor = MinorLoss(name="K", kind="stated", bore=bore, k_inf=4 * 1.5 + 10.0 + 2.0)
        fittings = head_loss(minor, flow, 1.1e-6)[0]
        assert bare * psi_per_metre == pytest.approx(10.7, rel=0.01)
        assert (bare + friction) * psi_per_metre == pytest.approx(21.3, rel=0.01)
        assert (bare + friction + fittings) * psi_per_metre == pytest.approx(30.5, rel=0.01)

    @pytest.mark.parametrize(
        ("length", "bore", "roughness", "flow_m3_per_h"),
        [(100.0, 0.08, 0.24e-3, 62.5), (150.0, 0.06, 0.12e-3, 25.9), (80.0, 0.04, 0.20e-3, 11.4)],
    )
    def test_three_pipes_of_white(
        self, length: float, bore: float, roughness: float, flow_m3_per_h: float
    ) -> None:
        # F. M. White, Fluid Mechanics, 5th-7th ed., three pipes in parallel under 20.3 m (from
        # memory): 62.5, 25.9, 11.4 m3/h.
        flow = flow_under(20.3, pipe(length, bore, roughness), 1.02e-6)
        assert 3600.0 * flow == pytest.approx(flow_m3_per_h, abs=0.06)
