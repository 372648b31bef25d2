"""Under the sanitizers a long row of like cases is sampled: all of them run without, in the same
tools/test. EVENHAND_EVERY says how: 4 is every fourth, from the first on."""
import os

EVERY = int(os.environ.get("EVENHAND_EVERY", "1"))


def some(cases):
    return list(cases)[::EVERY]
