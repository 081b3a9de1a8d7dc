"""Every answer says what it holds for: test, files, fingerprints, what was set; a changed vehicle is named so."""

from __future__ import annotations

import hashlib
import html
import json
import re
from dataclasses import dataclass
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

import articulate
from articulate.cli import app
from articulate.spec import load_vehicle, with_settings

CROSSOVER = "vehicle_specs_demo/crossover_minimal.toml"
WAGON = "vehicle_specs_demo/wagon.toml"
SHEET = "vehicle_specs_demo/run_sheets/wagon_run_sheet.toml"
SET = "rear.travel.bump=70 mm"
TEST = ("--ramp-angle", "19 deg", "--side", "right")
LOADED = (*TEST, "--touch-load", "30 N")
HELD = (*LOADED, "--holding-share", "0.3")
DAY = "left and right front wheel, ramp 20.005 deg"


@dataclass(frozen=True)
class Asked:
    """What is asked of a command, what of the test it can be told, and the forms its answer has."""

    words: tuple[str, ...]
    options: tuple[str, ...] = ()
    files: tuple[str, ...] = ()  # that it writes, by the option before each
    text: bool = True
    data: bool = True
    says: str = ""  # the test in words, where a run sheet is its source

    @property
    def vehicle(self) -> str:
        return self.words[1]


FIGURE = ("--figure", "figure.svg")
PAGE = ("--output", "page.html")
ANSWERS = {
    "predict": Asked(("predict", CROSSOVER), HELD),
    "predict in full": Asked(("predict", CROSSOVER, "--full"), HELD, data=False),
    "band": Asked(("band", CROSSOVER, "--points", "64"), HELD, FIGURE),
    "learn": Asked(("learn", CROSSOVER, "--connected", "340", "--points", "1024"), HELD),
    "explain": Asked(("explain", CROSSOVER), HELD, FIGURE),
    "worth": Asked(("worth", CROSSOVER), HELD),
    "timeline": Asked(("timeline", CROSSOVER), HELD),
    "target": Asked(("target", CROSSOVER, "--score", "340", "--change", "front.travel.bump=60 mm to 100 mm"), HELD),
    "compare": Asked(("compare", CROSSOVER, "--samples", "64"), HELD, FIGURE),
    "carry": Asked(("carry", CROSSOVER, "--to", "23 deg"), HELD),
    "blocks": Asked(("blocks", CROSSOVER, "--points", "32"), LOADED),
    "clearance": Asked(("clearance", CROSSOVER), TEST),
    "ladder": Asked(("ladder", CROSSOVER, "--sizes", "225/65R17", "--points", "16"), TEST[:2], FIGURE),
    "test-day": Asked(
        ("test-day", CROSSOVER, "--samples", "64"), LOADED, (*PAGE, "--ramp-page", "phone.html"), text=False
    ),
    "report": Asked(("report", CROSSOVER, "--samples", "64"), LOADED, (*PAGE, "--markdown", "page.md"), text=False),
    "draw": Asked(("draw", CROSSOVER), HELD, ("--output", "figure.svg"), text=False, data=False),
    "draw loads": Asked(
        ("draw", CROSSOVER, "--what", "loads"), HELD, ("--output", "figure.svg"), text=False, data=False
    ),
    "draw travel": Asked(
        ("draw", CROSSOVER, "--what", "travel", "--medium", "video"),
        HELD,
        ("--output", "figure.svg"),
        text=False,
        data=False,
    ),
    "draw support": Asked(
        ("draw", CROSSOVER, "--what", "support", "--medium", "paper"),
        HELD,
        ("--output", "figure.svg"),
        text=False,
        data=False,
    ),
    "audit": Asked(
        ("audit", WAGON, SHEET), (), FIGURE, data=False, says=f"{DAY} (19.97 to 20.04), touch load 30 N (10 to 50)"
    ),
    "learn from a sheet": Asked(
        ("learn", WAGON, "--sheet", SHEET, "--points", "1024"),
        data=False,
        says=f"{DAY} (19.97 to 20.04), touch load 30 N",
    ),
    "compare with a sheet": Asked(
        ("compare", WAGON, "--sheet", SHEET, "--samples", "64"), says="left front wheel, ramp 20 deg, touch load 30 N"
    ),
}
# Commands that take no what-if of a vehicle.
OTHERS = {"score", "derive", "check"}  # told to say what they rest on by tests of their own, below
OF_NO_VEHICLE = {"tyre", "run-sheet", "demo", "template", "schema"}
KEPT = {"logbook"}  # a day file holds its sheet with its answer and the vehicle file as it was
FILMED = {"animate"}
HANDED_OVER = {"handover", "receive"}  # their report says it, made by the report's own command


def test_every_command_is_tried_here():
    tried = {asked.words[0] for asked in ANSWERS.values()} | OTHERS | OF_NO_VEHICLE | KEPT | FILMED | HANDED_OVER
    assert tried == set(typer.main.get_command(app).commands)


@pytest.fixture(scope="module")
def run():
    runner = CliRunner()

    def asked(*words):
        result = runner.invoke(app, [str(word) for word in words])
        assert isinstance(result.exception, SystemExit | None)
        return result

    return asked


def in_one_line(text: str) -> str:
    return " ".join(text.replace("\u00a0", " ").split())


def fingerprint(file: str) -> str:
    return hashlib.sha256(Path(file).read_bytes()).hexdigest()


def seen_of(path: Path) -> str:
    """What a reader sees of a page, data that its scripts show included, or of an article."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".md":
        return re.sub(r"\\(.)", r"\1", text).casefold()
    shown = re.sub(r"<style.*?</style>|<script(?![^>]*json).*?</script>|<[^>]*>", " ", text, flags=re.S)
    return html.unescape(shown).casefold()


def forms(run, asked: Asked, folder: Path, monkeypatch) -> tuple[dict[str, str], dict]:
    """Every form of an answer by its kind, as a reader sees it in one line, and its data."""
    from articulate.output.figures.theme import Picture

    drawn: list[Picture] = []
    if "figure.svg" in asked.files:
        monkeypatch.setattr(Picture, "svg", lambda picture: drawn.append(picture) or "")
    places = [str(folder / one) if Path(one).suffix else one for one in asked.files]
    words = (*asked.words, *asked.options, "--set", SET)
    found, data = {}, {}
    if asked.text:
        result = run(*words, *places)
        assert result.exit_code in (0, 1), result.stderr
        assert max(map(len, result.stdout.splitlines())) <= 80
        found["text"] = result.stdout
    if asked.data or not asked.text:
        result = run(*words, *([] if asked.text else places), *(["--json"] if asked.data else []))
        assert result.exit_code in (0, 1), result.stderr
        data = json.loads(result.stdout) if asked.data else {}
    found |= {path.name: seen_of(path) for path in folder.iterdir() if path.suffix in (".html", ".md")}
    for picture in drawn:
        found["figure"] = " ".join(text.get_text() for text in picture.figure.texts)
        found["figure in words"] = f"{picture.title} {picture.description}"
        if "video" in asked.words:
            assert tuple(picture.figure.get_size_inches()) == pytest.approx((19.2, 10.8))
    assert len(found) >= asked.text + len(asked.files) // 2
    return {kind: in_one_line(text) for kind, text in found.items()}, data


@pytest.mark.parametrize("name", ANSWERS)
def test_every_form_of_an_answer_states_test_files_and_what_was_set(run, name, tmp_path, monkeypatch):
    asked = ANSWERS[name]
    found, data = forms(run, asked, tmp_path, monkeypatch)
    side = "right" if "--side" in asked.options else "left"
    load = "30" if "--touch-load" in asked.options else "0"
    share = "0.3" if "--holding-share" in asked.options else "0.5 (0 to 1)"
    expected = [
        asked.says or f"{side} front wheel, ramp 19 deg, touch load {load} N",
        f"holding share {share}",
        Path(asked.vehicle).name,
        f"sha256 {fingerprint(asked.vehicle)[:8]}",
        "drive not given",
        SET,
        *([Path(SHEET).name, f"sha256 {fingerprint(SHEET)[:8]}"] if SHEET in asked.words else []),
    ]
    vehicle = load_vehicle(asked.vehicle).name
    for kind, text in found.items():
        page = kind.startswith(("page", "phone"))  # where a sentence may begin with them
        for words in expected:
            assert (words.casefold() if page else words) in text, (kind, words)
        changed = f"{vehicle}, changed"
        if asked.words[0] == "compare" and kind.startswith("figure"):  # whose title names no vehicle
            continue
        assert (changed.casefold() if page else changed) in text, kind
        bare = [more for more in re.findall(f"{vehicle}(.{{9}})", text) if more not in (", changed", ", measure")]
        assert not bare or name == "explain", (kind, bare)
    if data:
        data_states(data["vehicles"][0] if asked.words[0] == "report" else data, asked, side, float(load))


def data_states(data: dict, asked: Asked, side: str, load: float) -> None:
    test, file = data["conditions"], data["files"][-1]
    if not asked.says:
        assert test["side"] == side
        assert test["ramp_angle_rad"]["value"] == pytest.approx(0.3316126)  # 19 deg
        assert test["touch_load_N"]["value"] == pytest.approx(load)
        held = 0.3 if "--holding-share" in asked.options else 0.5
        assert test["holding_share"]["value"] == pytest.approx(held)
    assert file["file"] == asked.vehicle
    assert file["file_sha256"] == fingerprint(asked.vehicle)
    assert file["settings"] == [SET]
    assert file["vehicle"] == f"{load_vehicle(asked.vehicle).name}, changed"
    sheets = [{"file": SHEET, "file_sha256": fingerprint(SHEET)}] if SHEET in asked.words else []
    assert data["sheets"] == sheets


def test_a_score_names_its_sheet_and_the_vehicle_file_beside_it(run):
    said = in_one_line(run("score", SHEET, "--vehicle", WAGON).stdout)
    assert f"{DAY} (19.97 to 20.04), touch load 30 N (10 to 50)" in said
    for file in (SHEET, WAGON):
        assert f"{file}, sha256 {fingerprint(file)[:8]}" in said
    data = json.loads(run("score", SHEET, "--vehicle", WAGON, "--json").stdout)
    assert [one["file_sha256"] for one in (*data["files"], *data["sheets"])] == [fingerprint(WAGON), fingerprint(SHEET)]
    typed = ("score", "--mark-height", "553 mm", *LOADED)
    assert f"{CROSSOVER}, sha256" in in_one_line(run(*typed, "--vehicle", CROSSOVER).stdout)
    alone = in_one_line(run(*typed, "--wheelbase", "2850 mm").stdout)
    assert "right front wheel, ramp 19 deg" in alone
    assert "sha256" not in alone


def test_a_derivation_with_numbers_and_a_check_name_their_file(run):
    for words in (("derive", "mark-height", "--vehicle", CROSSOVER), ("check", CROSSOVER)):
        said = in_one_line(run(*words).stdout)
        assert CROSSOVER in said
        assert f"sha256 {fingerprint(CROSSOVER)[:8]}" in said
    assert json.loads(run("check", CROSSOVER, "--json").stdout)["file_sha256"] == fingerprint(CROSSOVER)


def test_a_film_states_them_under_its_frames(run, tmp_path, monkeypatch):
    from articulate.output.film import encode

    noted: list[str] = []
    monkeypatch.setitem(encode.FORMS, "gif", lambda film: noted.extend(film.notes) or b"")
    film = ("animate", CROSSOVER, "--output", tmp_path / "film.gif", "--release-on", "ramp", *HELD, "--set", SET)
    assert run(*film).exit_code == 0
    said = " ".join(noted)
    for words in ("right front wheel, ramp 19 deg, touch load 30 N, holding share 0.3", SET):
        assert words in said
    assert "released" not in said  # it has no bar that can be
    assert f"{CROSSOVER}, sha256 {fingerprint(CROSSOVER)[:8]}" in said
    noted.clear()
    assert run("animate", WAGON, "--output", tmp_path / "wagon.gif", "--release-on", "ramp").exit_code == 0
    assert "bars released on the ramp" in " ".join(noted)


def test_the_library_states_them_as_the_commands_do():
    ramp = articulate.Ramp(angle="19 deg", side="right", touch_load="30 N", holding_share="0.3")
    changed = articulate.load(CROSSOVER).what_if(rear__travel__bump="70 mm")
    held = "right front wheel, ramp 19 deg, touch load 30 N, holding share 0.3"
    for answer in (
        articulate.sweep(changed, "front.travel.bump", ["70 mm", "80 mm"], ramp),
        articulate.sample(changed, ramp, points=32),
    ):
        said = in_one_line(answer.table())
        assert held in said
        assert SET in said
        assert answer.to_dict()["files"][0]["settings"] == [SET]
    audited = articulate.audit(WAGON, SHEET)
    for text in (audited.table(), audited.plot().description):
        assert f"{DAY} (19.97 to 20.04), touch load 30 N (10 to 50)" in in_one_line(text)
        assert f"sha256 {fingerprint(SHEET)[:8]}" in in_one_line(text)
    assert audited.to_dict()["sheets"] == [{"file": SHEET, "file_sha256": fingerprint(SHEET)}]
    assert f"{WAGON}, sha256" in in_one_line(articulate.score(SHEET, WAGON).table())


def test_a_figure_of_files_with_different_drives_names_each(run, tmp_path):
    from articulate.output.text.conditions import condition_notes, stated
    from articulate.studies.population.conditions import Conditions

    plain = load_vehicle(CROSSOVER)
    driven = with_settings(plain, [("drive.driven_wheels", "front")])
    first, *rest = condition_notes(stated(Conditions(), "left", [plain, driven]))
    assert "drive not given" not in first
    assert "drive not given" in rest[0]
    assert "front wheels drive: front open" in rest[0]


def test_room_for_the_foot_moves_nothing_else():
    # Every word keeps its distance from the top, to a hundredth of an inch.
    from articulate.output.figures.comparisons import ranking_picture
    from articulate.output.figures.tallies import Bar, Ranked
    from articulate.output.figures.theme import PAGE

    entries = [Ranked(Bar("one", 500.0, 450.0, 550.0), False), Ranked(Bar("other", 600.0, 590.0, 610.0), True)]

    def places(picture):
        figure = picture.figure
        figure.canvas.draw()
        height = figure.get_size_inches()[1]
        boxes = [text.get_window_extent() for text in [*figure.texts, *figure.axes[0].texts]]
        return {
            text.get_text(): height - box.y0 / figure.dpi
            for text, box in zip([*figure.texts, *figure.axes[0].texts], boxes, strict=True)
        }

    plain, noted = (
        places(ranking_picture(entries, medium=PAGE)),
        places(ranking_picture(entries, medium=PAGE).noted(["right front wheel", "a file"])),
    )
    assert set(noted) - set(plain) == {"right front wheel", "a file"}
    for words, place in plain.items():
        assert noted[words] == pytest.approx(place, abs=0.01)


def test_a_name_of_its_own_stands_and_a_file_as_it_is_keeps_its_name():
    spec = load_vehicle(CROSSOVER)
    changed = with_settings(spec, [("wheelbase", "2700 mm")])
    assert changed.name == f"{spec.name}, changed"
    assert changed.filed_name == spec.name
    assert changed.settings == ("wheelbase=2700 mm",)
    assert with_settings(spec, [("name", "Longer"), ("wheelbase", "2700 mm")]).name == "Longer"


def test_a_known_drive_says_the_share_and_needs_friction(run):
    said = in_one_line(run("timeline", CROSSOVER, "--set", "drive.driven_wheels=front").stdout)
    assert "holding share by the drive, friction 0.8 (0.6 to 1)" in said
    assert "front wheels drive: front open" in said
