"""The published figures again, through the command line: every option is read, converted and computed on the way.

Sources and their standing are named row by row in tests/gauging/test_published.py; only what a command can be asked is here.
"""

from __future__ import annotations

import itertools
import json
import math
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from commands import caskbook

OLD_IMPERIAL_L = 277.274 * 25.4**3 / 1e6
ALE_GALLON_L = 282.0 * 25.4**3 / 1e6
DOCK = "--bung 31.3in --head 22.7in --length 49.7in"

ROWS: list[tuple[str, str, float, float]] = [
    # OIML R 22 (copy)
    ("density --mass-percent 0 --temp 20", "density", 998.20, 0.005),
    ("density --mass-percent 100 --temp 20", "density", 789.24, 0.005),
    ("density --mass-percent 100 --temp 40", "density", 771.93, 0.005),
    ("density --mass-percent 50 --temp 20", "density", 913.77, 0.005),
    ("density --mass-percent 100 --temp 0", "density", 806.22, 0.005),
    ("density --mass-percent 0 --temp 0", "density", 999.84, 0.005),
    *(
        (f"density --abv {abv} --temp 20", "density", published, 0.0051)
        for abv, published in (
            (10, 984.71), (20, 973.56), (30, 962.21), (40, 948.05), (50, 930.14), (60, 909.11), (70, 885.56), (80, 859.27), (90, 829.18), (95, 811.38),
            (96, 807.42), (100, 789.24),
        )
    ),
    # The same table read backwards: 0.005 kg/m³ is less than 0.006 % vol anywhere from 10 to 96
    *(
        (f"strength --density {published}", "abv", abv, 0.006)
        for abv, published in ((10, 984.71), (20, 973.56), (40, 948.05), (60, 909.11), (80, 859.27), (96, 807.42))
    ),
    # Perry's, 7th ed. (copy)
    *((f"density --mass-percent {p} --temp 20", "density", 1000 * rho, 0.06) for p, rho in ((1, 0.99636), (5, 0.98938), (10, 0.98187), (12, 0.97910))),
    # USP 29 (copy): % vol at 60 °F is half the proof
    *((f"strength --hydrometer-proof {2 * v} --temp 60F", "mass_percent", mass, 0.006) for v, mass in ((5, 4.00), (10, 8.05), (20, 16.27), (30, 24.67))),
    # 27 CFR 30.61 Table 1 and 30.23 (print), in °F, and by the unit typed behind a plain --temp
    ("strength --hydrometer-proof 80 --temp-f 68", "proof", 76.4, 0.06),
    ("strength --hydrometer-proof 81 --temp-f 68", "proof", 77.4, 0.06),
    ("strength --hydrometer-proof 80 --temp-f 69", "proof", 76.0, 0.05),
    ("strength --hydrometer-proof 80 --temp 69F", "proof", 76.0, 0.05),
    ("strength --hydrometer-proof 80 --temp 69F", "proof_table", 76.0, 1e-9),
    ("strength --hydrometer-proof 193 --temp 75F", "proof", 189.5, 0.06),
    # 27 CFR 30.23 (print), cells of its example
    ("strength --hydrometer-proof 193 --temp 72F", "proof", 190.2, 0.06),
    ("strength --hydrometer-proof 192 --temp 72F", "proof", 189.1, 0.06),
    ("strength --hydrometer-proof 192 --temp 73F", "proof", 188.9, 0.06),
    ("strength --hydrometer-proof 192.82 --temp 72.15F", "proof_table", 189.972, 1e-9),
    ("strength --hydrometer-proof 192.82 --temp-f 72.15", "proof", 190.0, 0.05),
    # 27 CFR 30.51 (print): 3721.1; by its factor of three figures to the very tenth
    ("volume --litres 4308.48USgal --abv 86.8USproof --temp 72F", "proof_gallons", 3721.1, 3721.1 * 0.0006),
    ("volume --litres 4308.48USgal --abv 86.8USproof --temp 72F", "proof_gallons_table", 3721.1, 1e-9),
    ("volume --litres 1000USgal --abv 125USproof --temp 60F", "proof_gallons", 1250.00, 0.005),
    ("volume --litres 1000USgal --abv 125USproof --temp 60F", "proof_gallons_table", 1250.0, 1e-9),
    # 27 CFR 30.25 and 30.51 (print), factors of Table 7 to 60 °F: 0.996 and 0.995
    ("volume --litres 1USgal --abv 115USproof --temp 68F", "us_gallons_60f", 0.996, 0.0005),
    ("volume --litres 1USgal --abv 86.8USproof --temp 72F", "us_gallons_60f", 0.995, 0.0005),
    # 27 CFR 30.44 (print): 10 wine gallons of 192 proof weigh 67.63 lb in air
    ("volume --kg 67.63lb --in-air --abv 192USproof --temp 60F", "us_gallons_60f", 10.0, 0.005),
    # 27 CFR 30.64 (print), weighed in air
    ("volume --kg 1lb --in-air --abv 190USproof --temp 60F", "us_gallons_60f", 0.14718, 0.14718 * 2e-4),
    ("volume --kg 1lb --in-air --abv 190USproof --temp 60F", "proof_gallons", 0.27964, 0.27964 * 2e-4),
    ("volume --kg 1lb --in-air --abv 200USproof --temp 60F", "proof_gallons", 0.30258, 0.30258 * 2e-4),
    ("volume --kg 1lb --in-air --abv 0 --temp 60F", "us_gallons_60f", 0.120074, 0.120074 * 5e-5),
    # TTB conversion tables (print)
    ("volume --litres 1 --abv 40 --temp 60F", "us_gallons_60f", 0.264172, 5e-7),
    ("volume --litres 9.00 --abv 40 --temp 60F", "us_gallons_60f", 2.377548, 5e-7),
    # HMRC HMEXSH5030 (print): 100 cases of 12 × 0.70 L at 40 %
    ("volume --litres 840 --abv 40", "lpa", 336, 1e-9),
    # Alcoholic Liquor Duties Act 1979 s. 2 (print for the rule, own for the figure); Weights and Measures Act 1985 (memory)
    ("volume --litres 100 --abv 100UKproof", "lpa", 57.145, 0.01),
    ("volume --litres 1UKgal --abv 40", "litres_20", 4.54609, 1e-6),
    # Air: 0.53 m at 12 psi, 200 L (own)
    ("pressure --psi 12 --head 530 --litres 200", "thrust_n", 18253, 0.5),
    ("pressure --psi 12 --head 530 --litres 200", "energy_kj", 14.45, 0.005),
    ("pressure --psi 10 --head 530 --litres 200", "energy_kj", 11.75, 0.005),
]  # fmt: skip
SHAPES = ("spheroid", "parabolic", "paraboloid", "cone")
UNIT_CASKS = {0.50: (0.0021244, 0.0020300, 0.0017704, 0.0016523), 0.70: (0.0023510, 0.0023170, 0.0021103, 0.0020678),
              0.80: (0.0024927, 0.0024776, 0.0023227, 0.0023038)}  # fmt: skip


def answer(words: str) -> dict[str, float]:
    done = caskbook("gauge", *words.split(), "--format", "json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize(("words", "key", "published", "tolerance"), ROWS)
def test_spirit_and_air(words: str, key: str, published: float, tolerance: float) -> None:
    assert answer(words)[key] == pytest.approx(published, abs=tolerance)


@pytest.mark.parametrize(("ratio", "n"), [*itertools.product(UNIT_CASKS, range(4))])
def test_the_unit_casks_a_hundred_times_as_large(ratio: float, n: int) -> None:
    """Builder-Mechanic capacity table (print): gallons of 277.274 in³."""
    litres = answer(f"capacity --bung 100in --head {100 * ratio:g}in --length 100in --shape {SHAPES[n]}")["litres"]
    assert litres / OLD_IMPERIAL_L / 1e6 == pytest.approx(UNIT_CASKS[ratio][n], abs=6e-8)


def test_the_gauging_books_casks() -> None:
    """Encyclopaedia Britannica, early edition (print) and formula (own); dock gauging manual (print), truncated as printed."""
    assert answer("capacity --bung 25in --head 22in --length 32.06in")["litres"] / ALE_GALLON_L == pytest.approx(51.604, abs=0.01)
    assert answer("capacity --bung 25in --head 22in --length 32.06in")["litres"] / ALE_GALLON_L == pytest.approx(51.610, abs=0.0005)
    content = answer(f"capacity {DOCK}")["litres"] / OLD_IMPERIAL_L
    assert math.floor(content) == 116 and content == pytest.approx(116.13, abs=0.005)
    ullage = answer(f"ullage {DOCK} --wet 30in")["litres"] / OLD_IMPERIAL_L
    assert math.floor(ullage) == 115 and ullage == pytest.approx(115.46, abs=0.005)


@pytest.mark.parametrize(("wet", "printed"), [("15in", 54.759375), ("17in", 64.040625)])
def test_the_quarter_rule_in_the_middle(wet: str, printed: float) -> None:
    """Builder-Mechanic (print): a rule of thumb, which the integral meets to 0.5 % of capacity near half full."""
    found = answer(f"ullage --bung 32in --head 24in --length 40in --wet {wet} --capacity 118.80UKgal")["litres"] / 4.54609
    assert found == pytest.approx(printed, abs=0.005 * 118.8)


def test_the_tenth_rule_standing() -> None:
    """Builder-Mechanic (print): 21 wet inches of 40 standing: 62.667 of 118.80."""
    found = answer("ullage --bung 32in --head 24in --length 40in --wet 21in --standing --capacity 118.80UKgal")["litres"] / 4.54609
    assert found == pytest.approx(62.667, abs=0.003 * 118.8)


@pytest.mark.parametrize(("words", "key", "value"), [
    ("volume --litres 4308.48USgal --abv 86.8USproof --temp 72F", "proof_gallons_table", 3721.1),
    ("volume --litres 1000USgal --abv 125USproof --temp 60F", "proof_gallons", 1250.0),
    ("strength --hydrometer-proof 80 --temp 69F", "proof_table", 76.0),
])  # fmt: skip
def test_by_the_installed_program(words: str, key: str, value: float) -> None:
    program = shutil.which("caskbook", path=str(Path(sys.executable).parent))
    assert program is not None
    done = subprocess.run([program, "gauge", *words.split(), "--format", "json"], capture_output=True, text=True, check=True)
    assert json.loads(done.stdout)[key] == pytest.approx(value, abs=1e-6)
