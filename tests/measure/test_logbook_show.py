"""`logbook show`: what is picked, in which order, and what it says of one vehicle, of changes and of ramps."""

from __future__ import annotations

import csv
import io
import json
import math
import re
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from articulate.cli import app
from tests.measure.kept_days import keep

# vehicle, day, factor of its scores
DAYS = (
    ("Tarn", "2019-06-01", 1.00),
    ("Moss", "2021-05-02", 1.10),
    ("Tarn", "2024-07-03", 1.05),
    ("Fell", "2026-05-14", 0.95),
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    found = tmp_path_factory.mktemp("log")
    for vehicle, date, times in DAYS:
        keep(found, vehicle, date, times)
    return found


def show(folder: Path, *words: str, code: int = 0):
    done = CliRunner().invoke(app, ["logbook", "show", str(folder), *words])
    assert done.exit_code == code, done.output
    return done.output


def places(text: str) -> str:
    """Place and vehicle of each row of the ranking, with the year where a vehicle has several."""
    found = re.findall(r"^[> ] +(\d+) (\d{4})-\d\d-\d\d (\w+)", text, re.MULTILINE)
    return ", ".join(f"{place} {name} {year}" if name == "Tarn" else f"{place} {name}" for place, year, name in found)


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ((), "1 Moss, 2 Tarn 2024, 3 Tarn 2019, 4 Fell"),
        (("--sort", "date"), "3 Tarn 2019, 1 Moss, 2 Tarn 2024, 4 Fell"),
        (("--sort", "vehicle"), "4 Fell, 1 Moss, 3 Tarn 2019, 2 Tarn 2024"),
        (("--years", "2024"), "1 Tarn 2024"),
        (("--years", "2019-2021"), "1 Moss, 2 Tarn 2019"),
        (("--years", "2021 to 2026", "--vehicle", "FELL"), "1 Fell"),
        (("--vehicle", "tarn"), "1 Tarn 2024, 2 Tarn 2019"),
    ],
)
def test_filters_and_orders(folder, words, wanted):
    assert places(show(folder, *words)) == wanted


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--years", "lately"), "not years; write 2026, or 2019-2026"),
        (("--years", "2026-2019"), "they end before they begin"),
        (("--years", "2001"), "no result is left of 4"),
        (("--vehicle", "None such"), "choose another --vehicle"),
        (("--tyres", "235/75R17"), "other --tyres"),  # these sheets name no vehicle file
        (("--sort", "colour"), "rank, date or vehicle"),
        (("--side", "top"), "left, right or both"),
        (("--ramp-angle", "50 deg"), "outside 5 to 35 deg"),
    ],
)
def test_what_cannot_be_picked_says_what_can(folder, words, why):
    assert why in " ".join(show(folder, *words, code=2).split())


def test_one_vehicle_has_a_history(folder):
    text = show(folder, "--vehicle", "tarn")
    # 5 % more than 599.8, the mean of both sides: +29.8 by hand (594.4 x 0.05 = 29.7)
    assert "history of Tarn, each against the time before" in text
    assert re.search(r"2024-07-03 \+29\.7 ± \d+(\.\d)?, higher with > 99 %", text)
    assert "history" not in show(folder)


def test_equal_terms_are_bars_side_and_ramp(folder):
    found = {
        words: json.loads(show(folder, *words.split(), "--json")) for words in ("", "--bars released", "--side left")
    }
    tops = {words: data["ranking"][0]["measured"] / 1.10 for words, data in found.items()}
    # of the sheet that all days scale: both sides connected and released, left connected (tests/studies, RULES_ONE)
    assert tops[""] == pytest.approx(594.44, abs=0.01)
    assert tops["--bars released"] == pytest.approx(661.62, abs=0.01)
    assert tops["--side left"] == pytest.approx(584.67, abs=0.01)
    carried = json.loads(show(folder, "--ramp-angle", "22 deg", "--json"))["ranking"][0]
    assert carried["carried_by"] == "sines"
    assert carried["score"] == pytest.approx(1.10 * 594.44 * 0.342020 / 0.374607, abs=0.02)  # sines from a table


def test_the_table_has_every_case_of_every_sheet_and_says_how_it_stands(folder):
    rows = list(csv.DictReader(io.StringIO(show(folder, "--csv", "-"))))
    assert len(rows) == 6 * len(DAYS)  # left, right and both, bars connected and released
    assert {row["place"] for row in rows if (row["side"], row["bars"]) == ("both", "connected")} == {"1", "2", "3", "4"}
    for row in rows:
        assert {row["vehicle"], row["date"]} <= {"Tarn", "Moss", "Fell", *(date for _, date, _ in DAYS)}
        assert float(row["score_low"]) < float(row["score"]) < float(row["score_high"])
        assert len(row["sheet_sha256"]) == 64
        assert row["noted_by"].startswith("articulate ")
        assert "touch load" in row["assumed"]


def test_the_bias_of_a_ramp_shows_when_many_vehicles_have_it(tmp_path):
    """A ramp on which everything measures 10 % too high beside one that is right; told apart by their angles."""
    for number in range(6):
        wobble = 1.0 + 0.02 * (-1) ** number
        keep(tmp_path, f"Right {number}", f"2025-01-1{number}", wobble, predicted=1.0)
        keep(tmp_path, f"High {number}", f"2025-02-1{number}", 1.10 * wobble, predicted=1.0, ramp="23 deg")
    text = " ".join(show(tmp_path).split())
    assert re.search(r"23 deg ramp: its own bias is \+9\.\d ± \d\.\d %", text)
    assert "20 deg ramp: its own bias" not in text
    records = json.loads(show(tmp_path, "--json"))["predicted_against_measured"]
    biases = {one["ramp_angle_rad"]: one["bias"] for one in records}
    assert biases[math.radians(23.0)] == pytest.approx(math.log(1.10), abs=0.002)
    assert "the model's allowance is too small" not in text  # two biases of one size are no scatter of vehicles


def test_looking_through_what_was_kept_loads_neither_model_nor_vehicle_files(folder):
    """So that years of results are ranked in a moment."""
    code = f"""
import sys
from articulate.cli import app
try:
    app(["logbook", "show", {str(folder)!r}])
except SystemExit as end:
    assert not end.code, end.code
print(sorted({{"articulate.spec", "articulate.model", "matplotlib"}} & set(sys.modules)))
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_a_sheet_whose_radius_nothing_gives_is_kept_without_its_answer_and_told_again(tmp_path):
    """A hub's height needs the loaded radius; the vehicle file that could give it is not there."""
    sheet = tmp_path / "hub.toml"
    sheet.write_text(
        'vehicle = "Tarn"\nvehicle_file = "gone.toml"\ndate = 2026-05-14\nwheelbase = "2850 mm ± 3 mm"\n'
        'ramp.angle = "20 deg ± 0.2 deg"\n[[run]]\nside = "left"\nbars = "connected"\nhub_height = "910 mm ± 2 mm"\n',
        encoding="utf-8",
    )
    saved = CliRunner().invoke(app, ["logbook", "save", str(sheet), "--folder", str(tmp_path / "log")])
    assert saved.exit_code == 0, saved.output
    assert "kept without its answer" in saved.output
    shown = CliRunner().invoke(app, ["logbook", "show", str(tmp_path / "log")])
    assert shown.exit_code != 0
    assert "radius" in shown.output


def test_a_page_and_a_figure_that_cannot_be_are_told(folder, tmp_path):
    assert "must end in .html" in show(folder, "--page", str(tmp_path / "page.pdf"), code=2)
    said = show(folder, "--years", "1999", "--figure", str(tmp_path / "a.png"), code=2)
    assert "no result is left of 4" in said
    assert list(tmp_path.iterdir()) == []


def test_a_day_file_that_cannot_be_read_is_told_with_what_hangs_on_it(tmp_path):
    broken = tmp_path / "2026-05-14.toml"
    broken.write_bytes(b"notes = '\xf4'\n")
    figure = str(tmp_path / "a.png")
    lines = show(tmp_path, "--figure", figure, code=2).splitlines()
    assert len(lines) == 2
    assert lines[0].startswith(f"{broken}:1: byte 0xf4")
    assert lines[1] == f"--figure {figure}: there is no result on these terms; mend what is wrong above"
    keep(tmp_path, "Tarn", "2024-07-03", 1.0)
    said = show(tmp_path, "--vehicle", "Moss", code=2)
    assert f"{broken}:1: byte 0xf4" in said
    assert "no result is left of 1" in said
