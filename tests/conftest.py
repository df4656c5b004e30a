"""Settings of all tests: the examples of property tests are the same in every run.

A check that stands before a landing must not depend on luck. New examples are looked for on
purpose: ``pytest tests/properties --hypothesis-profile=explore``.
"""

from hypothesis import settings

settings.register_profile("fixed", derandomize=True)
settings.register_profile("explore", derandomize=False)
settings.load_profile("fixed")
