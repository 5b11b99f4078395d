#!/usr/bin/env python3
"""Do the calculations agree with general reference libraries on random inputs?

Every calculation is asked through the built command line, and the same question is put to scipy,
statsmodels or lifelines by another road: a root finder in place of a formula turned round, a
numerical integral in place of its closed form, a general fit in place of ours.

    python3 tests/reference/compare.py [--sward PATH] [--cases N] [--seed N] [--only NAME]

Exit code 0: all agree, or the libraries cannot be installed (then it prints "skipped").
Exit code 1: a difference, printed with the question. Exit code 2: the program was not found.
"""

import argparse
import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path

# The directory is source, not a place for compiled copies of it.
sys.dont_write_bytecode = True

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
VENV = ROOT / "target" / "reference-venv"
MARK = "SWARD_REFERENCE_VENV"
LIBRARIES = all(
    importlib.util.find_spec(name) for name in ("lifelines", "numpy", "scipy", "statsmodels")
)

if LIBRARIES:
    import machine_references as machine
    from fleet_references import compare_fleet
    import reel_references as reel
    from program import Program, Refused, found
    from questions import random_numbers


def install_and_rerun():
    """Puts the libraries beside the build, and runs this script again with them."""
    if os.environ.get(MARK):
        return "the libraries were installed but cannot be imported"
    python = VENV / "bin" / "python"
    steps = [
        [sys.executable, "-m", "venv", str(VENV)],
        [str(python), "-m", "pip", "install", "-q", "-r", str(HERE / "requirements.txt")],
    ]
    for step in steps:
        try:
            done = subprocess.run(step, capture_output=True, text=True, timeout=900)
        except (OSError, subprocess.TimeoutExpired) as error:
            return f"{step[1:4]}: {error}"
        if done.returncode != 0:
            lines = (done.stderr or done.stdout).strip().splitlines()
            return lines[-1] if lines else "no reason given"
    again = subprocess.run([str(python), *sys.argv], env={**os.environ, MARK: "1"})
    sys.exit(again.returncode)


def calculations():
    """All of them, in the order of the contract."""
    return [
        reel.clip_spacing,
        reel.bench_height,
        reel.effective_height,
        reel.sinkage_change,
        reel.adjuster_turns,
        reel.paper_map,
        reel.match_units,
        reel.height_plan,
        reel.reel_wear,
        reel.relief_grind,
        machine.wheel_speed,
        machine.groomer_depth,
        machine.brush_contact,
        machine.verticut,
        machine.rotary_tip_speed,
        machine.rotary_level,
        machine.blade_balance,
        machine.field_capacity,
        machine.repair_cost,
        machine.service_interval,
    ]


def compare(program, calculation, cases):
    """Runs one calculation; gives questions asked, numbers compared, and the differences found."""
    name = calculation.__name__.replace("_", "-")
    asked = compared = 0
    differences, closest = [], 0.0
    for _ in range(cases):
        for request, checks in calculation():
            asked += 1
            try:
                reply = program.compute(name, request)
            except Refused as refusal:
                differences.append(f"refused: {refusal}")
                continue
            for path, wanted in checks.items():
                got = (
                    reel.largest_drop(reply, request)
                    if path == reel.LARGEST_DROP
                    else found(reply, path)
                )
                # The canonical mapping leaves a plain number of 0 out.
                got = 0.0 if got is None and wanted.value == 0 else got
                compared += 1
                room_used = wanted.difference(got)
                closest = max(closest, room_used)
                if not room_used <= 1:
                    differences.append(
                        f"{path}: got {got!r}, wanted {wanted.value!r} for {json.dumps(request)}"
                    )
    return asked, compared, closest, differences


def find_program(given):
    built = [ROOT / "target" / kind / "sward" for kind in ("release", "debug")]
    for path in [given] if given else built:
        if path and Path(path).is_file():
            return str(path)
    return None


def main():
    parser = argparse.ArgumentParser(description="Compare the calculations with libraries.")
    parser.add_argument("--sward", help="the built program (default: target/release or debug)")
    parser.add_argument("--cases", type=int, default=10, help="random cases for each calculation")
    parser.add_argument("--seed", type=int, default=1, help="seed of the random inputs")
    parser.add_argument("--only", help="one calculation, such as clip-spacing")
    chosen = parser.parse_args()
    if not LIBRARIES:
        print(f"skipped: {install_and_rerun()}")
        return 0
    path = find_program(chosen.sward)
    if path is None:
        print("the program is not built: run `cargo build`, or give --sward PATH", file=sys.stderr)
        return 2
    random_numbers.seed(chosen.seed)
    program, failed = Program(path), False
    print(f"{'calculation':<18}{'questions':>10}{'numbers':>9}{'of the room used':>18}")
    for calculation in calculations():
        name = calculation.__name__.replace("_", "-")
        if chosen.only and name != chosen.only:
            continue
        asked, compared, closest, differences = compare(program, calculation, chosen.cases)
        # A calculation about which nothing was asked has not been compared.
        if asked == 0:
            differences.append("no question could be made")
        verdict = "" if not differences else f"  {len(differences)} differ"
        print(f"{name:<18}{asked:>10}{compared:>9}{closest:>18.2g}{verdict}")
        for difference in differences[:5]:
            print(f"    {difference}")
        failed = failed or bool(differences)
    if chosen.only in (None, "fleet-report"):
        compared, differences = compare_fleet(program)
        if compared == 0:
            differences.append("nothing could be compared")
        verdict = "" if not differences else f"  {len(differences)} differ"
        print(f"{'fleet-report':<18}{1:>10}{compared:>9}{verdict}")
        for difference in differences[:5]:
            print(f"    {difference}")
        failed = failed or bool(differences)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
