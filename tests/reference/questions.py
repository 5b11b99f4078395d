"""Random questions, and what is wanted of a reply to one."""

import math
import random

from scipy import optimize

random_numbers = random.Random(0)


def between(low, high, figures=6):
    """A number as a person would give it, spread evenly by order of magnitude when that is wide."""
    if low > 0 and high / low > 20:
        value = math.exp(random_numbers.uniform(math.log(low), math.log(high)))
    else:
        value = random_numbers.uniform(low, high)
    return float(f"{value:.{figures}g}")


def whole(low, high):
    return random_numbers.randint(low, high)


def one_of(*choices):
    return random_numbers.choice(choices)


class Near:
    """A wanted value and how far the program may be from it, as a share or in its own unit."""

    def __init__(self, value, share=1e-9, within=0.0):
        self.value = float(value)
        self.room = max(share * abs(self.value), within, 1e-300)

    def difference(self, got):
        if got is None:
            return math.inf
        return abs(float(got) - self.value) / self.room


class Same:
    """A wanted word, truth or absence."""

    def __init__(self, value):
        self.value = value

    def difference(self, got):
        # The JSON form leaves out what is false or empty.
        same = got == self.value or (got is None and not self.value)
        return 0.0 if same else math.inf


def root(rising, low, high):
    return optimize.brentq(rising, low, high, xtol=1e-14, rtol=8.9e-16, maxiter=500)
