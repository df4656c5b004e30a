"""Bounds of what a fuel line of a small aeroplane can be: beyond them a slip of writing is meant.

They refuse, they never clamp; a value at a bound is allowed.
"""

LEAST_BORE = 1e-3
"""[m] Least bore of a line, hole or fitting that feeds an engine (common practice, no source)."""
LARGEST_BORE = 0.05
"""[m] Largest bore: six times the widest line of such an aeroplane (common practice, no source)."""
ROUGHEST = 0.05
"""[-] Largest roughness over bore: the end of Moody's chart, beyond which no friction law was
measured. Tag: published."""
LARGEST_LOSS_FACTOR = 1e5
"""[-] Largest loss factor of a part: a sharp hole of a sixteenth of the bore (own computation,
(16^2 / 0.61)^2 = 1.8e5; common practice, no source)."""
LEAST_FLOW_COEFFICIENT = 1e-3
"""[-] Least Cv or Kv of a part: a sharp hole of 0.2 mm (common practice, no source)."""
LEAST_SHARE = 1e-3
"""[-] Least share of a screen that is clear, or of a range: less is a closed line, which is another
question (common practice, no source)."""
LARGEST_FLOW_COEFFICIENT = 1e3
"""[-] Largest Cv or Kv: beyond that of a full-way valve of 100 mm (common practice, no source)."""
LARGEST_QUADRATIC = 1e14
"""[s2/m5] Largest c in h = c Q^2: a sharp hole of 0.2 mm (common practice, no source)."""
LEAST_QUADRATIC = 1.0
"""[s2/m5] Least c: below that of a bend of the largest bore (common practice, no source)."""
LARGEST_CRACKING = 1e5
"""[Pa] Largest opening pressure of a one-way valve that gravity is to open: a head of 14 m of
gasoline, more than any aeroplane is high (common practice, no source)."""
MOST_STEPS = 2_000
"""[-] Most steps from line to line on all ways from an outlet to the engine, as many as nine loops
in a row have (a convention of this program, no source)."""
MOST_POSITIONS = 64
"""[-] Most settings of all selectors together: every one is solved in every attitude (a convention
of this program, no source)."""
