"""What the command line ends with, and the words that document it."""

ADEQUATE = 0
NOT_ADEQUATE = 1
USAGE = 2
CANNOT_TELL = 3
OUTPUT = 5
BUG = 70
INTERRUPTED = 130

BY_VERDICT = {
    "adequate": ADEQUATE,
    "not adequate": NOT_ADEQUATE,
    "cannot tell": CANNOT_TELL,
}
"""By ``Verdict.value``; a plain dictionary, so that help needs no study to be loaded."""

HELP = """\b
Exit codes
   0  adequate ("adequate, open line only" too), or done
   1  not adequate: a finding, not a failure
   2  wrong usage of the command
   3  cannot tell
   4  the case or the readings are invalid; each mistake is on standard error
   5  an output cannot be written, or an optional part is missing
  70  a bug in flowsim

\b
Results go to standard output, everything else to standard error.

An estimate, not an approval: the ground test decides. Local rules, the
instructions of the makers of engine and aircraft, and licensed practice
come first.
"""
