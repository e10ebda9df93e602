"""The gauging commands: keys, units on input, refusals."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest
from commands import caskbook


def gauge(*arguments: str) -> subprocess.CompletedProcess[str]:
    return caskbook("gauge", *arguments)


def answer(*arguments: str) -> dict[str, Any]:
    done = gauge(*arguments, "--format", "json")
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize(
    ("arguments", "key", "value", "tolerance"),
    [
        # 27 CFR 30.61 Table 1 (print): 80 read at 68 °F is 76.4 proof.
        ("strength --hydrometer-proof 80 --temp-f 68", "proof", 76.4, 0.06),
        # Own arithmetic from OIML R 22, regression values.
        ("strength --indicated 50 --temp 10", "abv", 53.67, 0.01),
        ("strength --density 930.14 --temp 20", "abv", 50.0, 0.01),
        ("strength --mass-percent 50", "abv", 57.889, 0.002),
        ("volume --litres 200 --abv 63.5 --temp 12", "litres_20", 201.43, 0.01),
        # 50 % mass at 20 °C is 913.77 kg/m³: OIML R 22 tables (copy).
        ("density --mass-percent 50 --temp 20", "density", 913.77, 0.005),
        ("capacity --bung 660 --head 560 --length 840 --shape spheroid", "litres", 260.551, 0.001),
        ("ullage --bung 660 --head 560 --length 840 --wet 330 --capacity 200", "litres", 100.0, 0.001),
        ("head --step 265 --step-in wall --groove 4 --allowance 1", "radius", 270.0, 1e-6),
        # d 0.53 m at 12 psi: 18 253 N; 200 L at 12 psi: 14.45 kJ (own, ASME PCC-2 App. II).
        ("pressure --psi 12 --head 530 --litres 200", "thrust_n", 18253, 1),
        ("pressure --psi 12 --head 530 --litres 200", "energy_kj", 14.45, 0.005),
    ],
)
def test_figures(arguments: str, key: str, value: float, tolerance: float) -> None:
    assert answer(*arguments.split())[key] == pytest.approx(value, abs=tolerance)


def test_inches_are_taken_and_echoed() -> None:
    done = gauge("capacity", "--bung", "26in", "--head", "560", "--length", "840")
    assert "26 in = 660.4 mm" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ("strength --indicated 50 --temp 145", "outside -20 to 40"),
        ("strength --indicated 50", "temperature"),
        ("strength", "give one of"),
        ("strength --indicated x --temp 10", "number"),
        ("ullage --bung 660 --head 560 --length 840", "--wet"),
        ("capacity --bung 660 --head 560 --length 840 --shape ball", "spheroid"),
        ("pressure --psi nan --head 530 --litres 200", "number"),
        ("density --mass-percent 1e3", "number"),
    ],
)
def test_wrong_figures_are_refused_in_one_line(arguments: str, words: str) -> None:
    done = gauge(*arguments.split())
    assert done.returncode == 2
    assert words in done.stderr and "Traceback" not in done.stderr


def test_the_installed_program_says_the_same() -> None:
    command = [sys.executable, "-m", "caskbook", "gauge", "head", "--step", "265", "--format", "json"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert json.loads(done.stdout) == {"radius": 265.0, "diameter": 530.0}


def test_air_pressure_comes_with_its_reminder() -> None:
    done = gauge("pressure", "--psi", "12", "--head", "530", "--litres", "200")
    assert "Reminder only" in done.stderr and "18.3 kN" in done.stdout


@pytest.mark.parametrize("typed", ["80USproof", "80 UK proof"])
def test_a_glass_marked_in_proof_is_no_alcoholometer_at_20_degrees(typed: str) -> None:
    done = gauge("strength", "--indicated", typed, "--temp", "69F")
    assert done.returncode == 2 and "--hydrometer-proof" in done.stderr and done.stdout == ""
