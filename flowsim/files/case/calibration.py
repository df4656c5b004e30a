"""``[calibration]`` of a case: what a ground test taught, put into the system that was read."""

import hashlib
from dataclasses import replace

import numpy as np

from flowsim.errors import DomainError
from flowsim.files.case.fuel import split_message
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_calibration import CalibrationSection
from flowsim.studies.sampling.calibration import calibrated
from flowsim.system.fuel_system import FuelSystem

MARK = "# ---- Ground test: written by flowsim ground-test fit; not to be edited ----"
"""Line that parts the case as it was from what the test taught."""


def case_text_sha256(text: str) -> str:
    """Give the digest of a case's text above the mark; line ends and blanks at its end are free."""
    own = text.replace("\r\n", "\n").removeprefix("\ufeff").split(f"\n{MARK}", 1)[0].rstrip()
    return hashlib.sha256(own.encode()).hexdigest()


def apply_calibration(
    section: CalibrationSection | None, system: FuelSystem | None, text: str, ledger: Ledger
) -> FuelSystem | None:
    """Put what a ground test taught into a system that was read.

    Parameters
    ----------
    section : CalibrationSection or None
        ``[calibration]`` of the file.
    system : FuelSystem or None
        As the rest of the file gives it.
    text : str
        The whole file.
    ledger : Ledger
        Receives mistakes.

    Returns
    -------
    FuelSystem or None
        With a caution that names the test, and another if the case was changed since.
    """
    if section is None or system is None or ledger.has_mistakes:
        return system
    keys = tuple(item.key for item in section.input)
    count = len(section.learned)
    for index, item in enumerate(section.input):
        if len(item.directions) != count:
            problem = f"has {len(item.directions)} weights for {count} combinations"
            ledger.mistake(("calibration", "input", index), problem, "fit the test again")
    if len(set(keys)) != len(keys):
        ledger.mistake(("calibration", "input"), "a key stands twice", "fit the test again")
    if ledger.has_mistakes:
        return system
    scores = np.array([item.score.value for item in section.input])
    centre = np.array([(item.centre or item.score).value for item in section.input])
    directions = np.array([item.directions for item in section.input]).reshape(-1, count).T
    learned = np.array(section.learned)
    try:
        found = calibrated(system, keys, scores, learned, directions, section.source, centre)
    except DomainError as error:
        ledger.mistake(("calibration",), *split_message(error))
        return system
    cautions = [f"Corrected by a ground test: {section.source}. Its least flow decides."]
    if section.text_sha256 != case_text_sha256(text):
        cautions.append(
            "The case was changed after its ground test: the correction belongs to the case as it "
            "was. Test and fit again before relying on it."
        )
    return replace(found, cautions=(*system.cautions, *cautions))
