"""Asking the command line: how a request is typed, and where a value stands in its reply."""

import json
import os
import subprocess
import tempfile

import numpy as np

# Endings of field names, longest first, and the unit written beside the number. The flag is the
# field name without its ending where the ending is a unit.
UNITS = [
    ("_mm_per_day", "mm/day"),
    ("_mm_per_s", ""),
    ("_g_mm", ""),
    ("_mps", "m/s"),
    ("_rpm", "rpm"),
    ("_deg", "deg"),
    ("_days", "days"),
    ("_mm", "mm"),
    ("_kg", "kg"),
    ("_ha", "ha"),
    ("_h", "h"),
    ("_fraction", ""),
    ("_count", ""),
]


class Program:
    """The command line, and the flags that each of its calculations says it has."""

    def __init__(self, path):
        self.path = path
        self.flags = {}
        # A directory of its own, so that nobody's records are opened.
        self.home = tempfile.TemporaryDirectory(prefix="sward-reference-")

    def run(self, *arguments):
        home = self.home.name
        environment = {**os.environ, "HOME": home, "XDG_DATA_HOME": home, "XDG_RUNTIME_DIR": home}
        return subprocess.run(
            [self.path, *arguments], capture_output=True, text=True, timeout=60, env=environment
        )

    def flag_of(self, calculation, field):
        if calculation not in self.flags:
            text = self.run("compute", calculation, "--help").stdout
            self.flags[calculation] = {word.strip(",=<>[]") for word in text.split()}
        stems = [field[: -len(end)] for end, unit in UNITS if unit and field.endswith(end)]
        stems += [field] + [field[: -len(end)] for end, _ in UNITS if field.endswith(end)]
        names = [f"--{stem.replace('_', '-')}" for stem in stems]
        known = [name for name in names if name in self.flags[calculation]]
        # Without a help text to go by, the rule of the names decides.
        return known[0] if known else names[0]

    def compute(self, calculation, request):
        arguments = ["compute", calculation, "--output", "json"]
        for field, value in request.items():
            arguments.append(f"{self.flag_of(calculation, field)}={written(field, value)}")
        done = self.run(*arguments)
        if done.returncode != 0:
            raise Refused(f"{' '.join(arguments)}\n{done.stderr.strip()}")
        return json.loads(done.stdout)


class Refused(Exception):
    """The program did not answer."""


def written(field, value):
    """A value as it is typed. Lists are separated by commas, and their numbers carry no unit."""
    if isinstance(value, dict):
        return ",".join(f"{name}={number}" for name, number in value.items())
    if isinstance(value, (list, tuple)):
        return ",".join(plain(item) for item in value)
    if isinstance(value, (int, float)):
        unit = next((unit for end, unit in UNITS if field.endswith(end)), "")
        return f"{plain(value)} {unit}".strip()
    return value


def plain(number):
    """A number without an exponent, the same double when read back."""
    return np.format_float_positional(number, trim="-") if number != 0 else "0"


def camel(name):
    first, *rest = name.split("_")
    return first + "".join(word.capitalize() for word in rest)


def found(reply, path):
    """The value at a path such as `survival_rows.0.survival_fraction`; None when it is absent."""
    here = reply
    for part in path.split("."):
        if isinstance(here, list):
            here = here[int(part)] if int(part) < len(here) else None
        elif isinstance(here, dict):
            here = here.get(camel(part))
        if here is None:
            return None
    return here
