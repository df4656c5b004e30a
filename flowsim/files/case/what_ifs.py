"""The what-ifs that a case lists, checked while it is read."""

from flowsim.files.case.ledger import Ledger


def check_what_ifs(words: tuple[str, ...], ledger: Ledger) -> None:
    """Check the form of the what-ifs of a case.

    Parameters
    ----------
    words
        As listed. Names of tanks and parts in them are checked when they are tried.
    ledger
        Receives mistakes.
    """
    if not words:
        return
    # Loads the study, which most cases never ask for.
    from flowsim.files.case.what_if_words import HELP, WhatIfError, parse_what_if

    for index, word in enumerate(words):
        try:
            parse_what_if(word)
        except WhatIfError as error:
            problem, _, remedy = str(error).partition("; ")
            ledger.mistake(("what_if", index), problem, remedy or f"write {HELP}")
