"""Everything that can be wrong with a file, each fault with its place, its reason and a way out."""

import math
import pickle

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from articulate.spec import SpecError, load_vehicle, read_vehicle, template
from articulate.spec.load import LARGEST_FILE

TYRE = 'tyre.size = "265/70R17"'
TOTAL = 'mass.total = "2100 kg"'
FRONT = "[front]\n"
FRONT_TRAVEL = 'travel.total = "200 mm"'
SOLID = 'suspension = "solid"'


def line_of(text: str, needle: str) -> int:
    return text[: text.index(needle)].count("\n") + 1


def one(faults):
    assert len(faults) == 1, "\n".join(map(str, faults))
    return faults[0]


CASES = [
    # a piece of the minimal file, what stands there instead, key, why, works
    (TOTAL, 'mass.total = "-2100 kg"', "mass.total", "outside 300 to 9000 kg", "2150 kg"),
    (TOTAL, "mass.total = 2100", "mass.total", "no unit", '"2100 kg"'),
    (TOTAL, 'mass.total = "2100 mm"', "mass.total", "unit of a length, and a mass is needed", "kg"),
    (TOTAL, 'mass.total = "2,100 kg"', "mass.total", "two things", "2100 kg"),
    (TOTAL, 'mass.total = "nan kg"', "mass.total", "finite", "kg"),
    (TOTAL, "mass.total = nan", "mass.total", "finite", "2150 kg"),
    (TOTAL, "mass.total = true", "mass.total", "a mass is needed", "2150 kg"),
    (TOTAL, "mass.total = 2024-01-01", "mass.total", "a mass is needed", "2150 kg"),
    (TOTAL, 'mass.total = ["2100 kg"]', "mass.total", "a mass is needed", "2150 kg"),
    (TOTAL, 'mass.totl = "2100 kg"', "mass.totl", "no such key", "write total"),
    (TOTAL, 'mass.total = "2100 ± 9000 kg"', "mass.total", "outside 300 to 9000 kg", "2150 kg"),
    (
        TOTAL,
        'mass.total = { value = "2100 kg", plusminus = "3 kg" }',
        "mass.total.plusminus",
        "no such key",
        "plus_minus",
    ),
    (
        TOTAL,
        'mass.total = { value = "2100 kg", plus_minus = "3 mm" }',
        "mass.total.plus_minus",
        "unit of a length",
        "kg",
    ),
    (
        TOTAL,
        'mass.total = { value = "2100 kg", plus_minus = 3 }',
        "mass.total.plus_minus",
        "text is needed",
        "kg",
    ),
    (TOTAL, 'mass.total = { plus_minus = "3 kg" }', "mass.total", "neither value nor range", "2150 kg"),
    (
        TOTAL,
        'mass.total = { value = "2100 kg", range = ["1 t"] }',
        "mass.total.range",
        "two ends",
        "5 to 12",
    ),
    (
        TOTAL,
        'mass.total = { value = "2100 kg", range = "1 to 2 t" }',
        "mass.total.range",
        "value lies outside",
        "widen",
    ),
    (
        TOTAL,
        'mass.total = { value = "2100 kg ± 2 kg", plus_minus = "3 kg" }',
        "mass.total.plus_minus",
        "own tolerance",
        "one",
    ),
    (
        TOTAL,
        'mass.total = { value = "2100 kg", plus_minus = "3 kg", range = "2 to 3 t" }',
        "mass.total.range",
        "plus_minus says",
        "one",
    ),
    (
        TOTAL,
        'mass.total = { value = "2100 kg", source = "guessed" }',
        "mass.total.source",
        "not a source",
        "assumed",
    ),
    (TOTAL, "mass.total = { value = 2100 }", "mass.total.value", "no unit", "kg"),
    (TOTAL, 'mass.front_share = "52 %"', "mass", "mass is needed", "mass.total"),
    (TOTAL, 'mass.front_axle = "1100 kg"', "mass.front_axle", "one axle load alone", "mass.total"),
    (
        TOTAL,
        f'{TOTAL}\nmass.front_axle = "1100 kg"\nmass.rear_axle = "900 kg"',
        "mass.total",
        "make it 2000 kg",
        "correct one",
    ),
    (
        TOTAL,
        f'{TOTAL}\nmass.front_axle = "1100 kg"\nmass.front_share = "60 %"',
        "mass.front_share",
        "make it 52.38 %",
        "correct one",
    ),
    (
        TOTAL,
        f'{TOTAL}\nmass.front_axle = "2200 kg"',
        "",
        "no sprung mass is left over the rear axle",
        "lower",
    ),
    (
        TOTAL,
        f'{TOTAL}\nmass.centre_of_gravity_height = "0.7 m"\nmass.static_stability_factor = "1.1"',
        "mass.static_stability_factor",
        "says it already",
        "one of the two",
    ),
    (TOTAL, "mass = 5", "mass", "a table is needed", "[mass]"),
    (TYRE, "", "tyre", "a tyre size is needed", "265/70R17"),
    (TYRE, 'tyre.size = "12.50x35R17"', "tyre.size", "wider than tall", "35x12.50R17"),
    (TYRE, "tyre.size = 265", "tyre.size", "a size code is needed", "265/70R17"),
    (TYRE, 'tyre.size = "big ones"', "tyre.size", "not a tyre size code", "265/70R17"),
    (TYRE, 'tyre.diameter = "803 mm"', "tyre.width", "width is needed", "tyre.width"),
    (
        TYRE,
        'tyre.size = "265/70R17"\ntyre.diameter = "460 mm"\n'
        'tyre.rim_diameter = "18 in"\ntyre.section_radius = "290 mm"',
        "",
        "section of the tyre is larger",
        "correct",
    ),
    (
        TYRE,
        'tyre.size = "265/70R17"\ntyre.rim_diameter = "24 in"\ntyre.diameter = "500 mm"',
        "",
        "smaller than its rim",
        "rim",
    ),
    (
        TYRE,
        'tyre.size = "265/70R17"\ntyre.vertical_stiffness = "43 N/mm"\n'
        'tyre.width = "120 mm"\nmass.front_share = "55 %"',
        "",
        "front tyres are pressed flat",
        "raise the pressure",
    ),
    (
        FRONT,
        '[front]\ntyre.width = "270 mm"\n',
        "front.tyre.width",
        "size is not given here",
        "front.tyre.size",
    ),
    (FRONT, '[front]\ntrack_width = "1.5 m"\n', "front.track_width", "no such key", "write track"),
    (FRONT, '[front]\nspring.rates = "30 N/mm"\n', "front.spring.rates", "no such key", "write rate"),
    (
        FRONT,
        '[front]\nswing_arm_length = "100 mm"\npivot_above_hub = "0 mm"\ntravel.bump = "150 mm"\n',
        "",
        "cannot swing that far",
        "lengthen the swing arm",
    ),
    (
        FRONT,
        '[front]\nswing_arm_length = "100 mm"\npivot_above_hub = "0 mm"\n'
        'travel.bump = "50 mm"\ntravel.droop = "150 mm"\n',
        "",
        "cannot swing that far",
        "lengthen the swing arm",
    ),
    (
        FRONT,
        '[front]\nride_height_change = "-150 mm"\n',
        "",
        "no bump travel is left on the front axle",
        "ride height",
    ),
    (
        FRONT,
        '[front]\nride_height_change = "150 mm"\n',
        "",
        "no droop travel is left on the front axle",
        "ride height",
    ),
    (
        FRONT,
        '[front]\nroll_centre_above_hub = "50 mm"\n',
        "front.roll_centre_above_hub",
        "solid axle is described",
        "front.swing_arm_length",
    ),
    (
        FRONT,
        '[front]\nspring.spacing = "1 m"\n',
        "front.spring.spacing",
        "described at the wheel",
        "leave it out",
    ),
    (
        FRONT,
        '[front]\nspring.wheel_rate = "30 N/mm"\nspring.ride_frequency = "1.3 Hz"\n',
        "front.spring.ride_frequency",
        "wheel_rate says it",
        "one of the two",
    ),
    (
        FRONT,
        '[front]\nspring.wheel_rate = "30 N/mm"\nspring.spring_travel_over_wheel_travel = 0.6\n',
        "front.spring.spring_travel_over_wheel_travel",
        "goes with the rate",
        "leave",
    ),
    (
        FRONT,
        '[front]\nspring.rate = "30 N/mm"\nspring.spring_travel_over_wheel_travel = 0.6\n'
        "spring.wheel_travel_over_spring_travel = 1.6\n",
        "front.spring.spring_travel_over_wheel_travel",
        "says it already",
        "one of the two",
    ),
    (FRONT, '[front]\nspring.kind = "coils"\n', "front.spring.kind", "not one of the choices", '"coil"'),
    (FRONT, "[front]\nspring.seat = true\n", "front.spring.seat", "not one of the choices", '"loose"'),
    (
        FRONT,
        '[front]\nunsprung_mass = "1200 kg"\n',
        "",
        "no sprung mass is left over the front axle",
        "lower the unsprung mass",
    ),
    (FRONT_TRAVEL, 'travel.bump = "90 mm"', "front.travel.bump", "whole travel", "front.travel.total"),
    (
        FRONT_TRAVEL,
        'travel.bump = "90 mm"\ntravel.droop = "90 mm"\ntravel.total = "230 mm"',
        "front.travel.total",
        "make it 180 mm",
        "correct one",
    ),
    (
        FRONT_TRAVEL,
        'travel.bump = "90 mm"\ntravel.droop = "90 mm"\ntravel.bump_share = "45 %"',
        "front.travel.bump_share",
        "say it already",
        "leave it out",
    ),
    (
        FRONT_TRAVEL,
        'travel.total = "90 mm"\ntravel.bump = "120 mm"',
        "",
        "no droop travel is left",
        "correct the travel",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar = "yes"',
        "front.anti_roll_bar",
        "it is not one of true, false and unknown",
        "write true or a table [front.anti_roll_bar]",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar = "unkown"',
        "front.anti_roll_bar",
        "it is not one of true, false and unknown",
        'write "unknown" or a table [front.anti_roll_bar]',
    ),
    (TOTAL, 'mass.total = "4,685 lb"', "mass.total", "two things", 'write "4.685 lb" or "4685 lb"'),  # not kg
    (TOTAL, 'mass.total = "4,685"', "mass.total", "two things", '"4685 kg", with the unit you mean'),
    (
        "anti_roll_bar = true",
        "# anti_roll_bar = true",
        "front.anti_roll_bar",
        "it is needed",
        "true (or false",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.releasable = "yes"',
        "front.anti_roll_bar.releasable",
        "neither true nor false",
        "true, without quotes",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.diameter = "30 mm"\nanti_roll_bar.arm_length = "0.3 m"\nanti_roll_bar.arm_reach = "0.3 m"',
        "front.anti_roll_bar.centre_length",
        "needs it",
        "centre_length",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.end_rate = "30 N/mm"\nanti_roll_bar.roll_stiffness = "300 N m/deg"',
        "front.anti_roll_bar.end_rate",
        "says it already",
        "one",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.end_rate = "30 N/mm"\nanti_roll_bar.end_spacing = "1 m"',
        "front.anti_roll_bar.end_spacing",
        "an independent axle",
        "end_travel",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.roll_stiffness = "300 N m/deg"\nanti_roll_bar.arm_length = "0.3 m"',
        "front.anti_roll_bar.arm_length",
        "rate is given already",
        "either",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.roll_stiffness = "300 N m/deg"\nanti_roll_bar.end_travel_over_wheel_travel = 0.6',
        "front.anti_roll_bar.end_travel_over_wheel_travel",
        "at the wheels already",
        "end_rate",
    ),
    (
        "anti_roll_bar = true",
        "anti_roll_bar = { fitted = false, releasable = true }",
        "front.anti_roll_bar.releasable",
        "no bar to release",
        "leave",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar = { fitted = false, end_rate = "30 N/mm" }',
        "front.anti_roll_bar.end_rate",
        "there is no bar",
        "fitted = true",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar = { diameter = "30 mm", arm_length = "0.2 m", arm_reach = "0.3 m", centre_length = "1 m" }',
        "",
        "reaches further than it is long",
        "arm_length",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar = { diameter = "30 mm", inner_diameter = "31 mm", '
        'arm_length = "0.3 m", arm_reach = "0.3 m", centre_length = "1 m" }',
        "",
        "bore",
        "diameters",
    ),
    (
        SOLID,
        f'{SOLID}\nswing_arm_length = "2 m"',
        "rear.swing_arm_length",
        "no swing arm",
        "rear.roll_centre_above_hub",
    ),
    (SOLID, 'suspension = "solidd"', "rear.suspension", "not one of the choices", '"solid"'),
    (SOLID, "", "rear.suspension", "it is needed", "suspension"),
    ('track = "1580 mm"', 'track = "4.2 m"', "front.track", "outside 700 to 2600 mm", "1580 mm"),
    (
        'construction = "body on frame"',
        'construction = "tube"',
        "construction",
        "not one of the choices",
        '"closed body"',
    ),
    ('wheelbase = "2800 mm"', 'wheelbase = "2800"', "wheelbase", "no unit", "2800 mm"),
    ('name = "Minimal wagon"', 'name = ""', "name", "at least 1 character", "name"),
    (FRONT, 'air_setting = "raised"\n[front]\n', "air_setting", "neither axle has air springs", 'kind = "air"'),
    (FRONT, 'air_setting = "up"\n[front]\n', "air_setting", "not one of the choices", '"raised"'),
    (
        FRONT,
        '[front]\nspring = { kind = "coil", raised_by = "50 mm" }\n',
        "front.spring.raised_by",
        "a coil spring has no height settings",
        'kind = "air"',
    ),
    (
        FRONT,
        'air_setting = "lowered"\n[front]\nspring = { kind = "air", lowered_by = "-30 mm" }\n',
        "front.spring.lowered_by",
        "outside 0 to 300 mm",
        "40 mm",
    ),
    (FRONT, "[front]\nspring.linked = true\n", "front.spring.linked", "a coil spring has no air", 'kind = "air"'),
    (FRONT, '[front]\nspring.linked = "yes"\n', "front.spring.linked", "neither true nor false", "true"),
    (FRONT, 'cross_link = "yes"\n[front]\n', "cross_link", "a table is needed", "[cross_link]"),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.wheel_rate = "12 N/mm"\nanti_roll_bar.end_rate = "30 N/mm"',
        "front.anti_roll_bar.end_rate",
        "wheel_rate says it already",
        "keep one",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.wheel_rate = "12 N/mm"\nanti_roll_bar.end_travel_over_wheel_travel = 0.6',
        "front.anti_roll_bar.end_travel_over_wheel_travel",
        "described at the wheels already",
        "end_rate",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.fitted = "perhaps"',
        "front.anti_roll_bar.fitted",
        'neither true nor false nor "unknown"',
        "true",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.chance = "60 %"',
        "front.anti_roll_bar.chance",
        "says that there is a bar",
        'fitted = "unknown"',
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar = { fitted = "unknown", releasable = true }',
        "front.anti_roll_bar.releasable",
        "has been seen",
        "fitted = true",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar = { fitted = "unknown", diameter = "30 mm" }',
        "front.anti_roll_bar.diameter",
        "measured on a bar, so there is one",
        "fitted = true",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar = { fitted = "unknown", chance = "100 %" }',
        "front.anti_roll_bar.chance",
        "outside 1 to 99 %",
        "70 %",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar = { fitted = false, chance = "20 %" }',
        "front.anti_roll_bar.chance",
        "there is no bar",
        "fitted = true",
    ),
    (
        "anti_roll_bar = true",
        'anti_roll_bar.wheel_rate = "12 N m/deg"',
        "front.anti_roll_bar.wheel_rate",
        "unit of a roll stiffness, and a rate is needed",
        "N/mm",
    ),
    (
        FRONT,
        '[cross_link]\nroll_stiffness = "500 N m/deg"\nwheel_rate = "3 N/mm"\n[front]\n',
        "cross_link.wheel_rate",
        "says it already",
        "one",
    ),
    (
        FRONT,
        '[frame]\ntorsional_rate = "stiff"\n[front]\n',
        "frame.torsional_rate",
        "start with a number",
        "N m/deg",
    ),
    (FRONT, "[load]\nmass = 3\n[front]\n", "load", "there can be several", "[[load]]"),
    (
        FRONT,
        '[[load]]\nname = "a"\nmass = "3 kg"\nbehind_front_axle = "1 m"\nleft_of_centre = "0 m"\n[front]\n',
        "load[1].height",
        "it is needed",
        "height =",
    ),
]


@pytest.mark.parametrize(("piece", "instead", "key", "why", "works"), CASES)
def test_one_thing_wrong_gives_one_fault(faults_of, minimal, piece, instead, key, why, works):
    fault = one(faults_of((piece, instead)))
    assert fault.key == key
    assert why in fault.why
    assert works in fault.works
    assert fault.place == "edited.toml"
    changed = minimal.replace(piece, instead, 1)
    assert 1 <= fault.line <= changed.count("\n") + 1
    if key and "needed" not in why and not why.startswith("needs"):
        assert key.split(".")[-1].split("[")[0] in changed.split("\n")[fault.line - 1]
    assert str(fault).startswith(f"edited.toml:{fault.line}: ")


def test_faults_come_all_at_once_in_the_order_of_the_file(faults_of, minimal):
    faults = faults_of(
        ('wheelbase = "2800 mm"', 'wheelbase = "2,8 m"'),
        (TOTAL, 'mass.total = "-3 kg"'),
        (FRONT_TRAVEL, 'travel.totle = "200 mm"'),
        (SOLID, 'suspension = "beam"'),
    )
    assert [fault.key for fault in faults] == [
        "wheelbase",
        "mass.total",
        "front.travel.totle",
        "rear.suspension",
    ]
    assert [fault.line for fault in faults] == [
        line_of(minimal, needle) for needle in ("wheelbase", "mass.total", FRONT_TRAVEL, SOLID)
    ]


LOAD = """[[load]]
name = "{name}"
mass = "8 kg"
behind_front_axle = "1 m"
left_of_centre = "0 m"
height = "{height}"

"""


def test_a_fault_in_a_list_stands_on_its_own_line(faults_of):
    loads = LOAD.format(name="a", height="1 m") + LOAD.format(name="b", height="1 kg")
    fault = one(faults_of((FRONT, loads + FRONT)))
    assert (fault.key, fault.line) == ("load[2].height", 22)


def test_two_loads_of_one_name(faults_of):
    load = LOAD.format(name="a", height="1 m")
    fault = one(faults_of((FRONT, load + load + FRONT)))
    assert (fault.key, fault.why) == ("load[2].name", "the name is taken")


def test_a_printed_fault_reads_as_one_line(faults_of):
    fault = one(faults_of((TOTAL, 'mass.total = "2100 mm"')))
    assert str(fault) == (
        'edited.toml:7: mass.total: "2100 mm", but "mm" is the unit of a length, and a mass is needed; '
        'write, for instance, "2150 kg" or "4740 lb"'
    )


def syntax_fault(text):
    with pytest.raises(SpecError) as caught:
        read_vehicle(text, "f.toml")
    return one(caught.value.faults)


@pytest.mark.parametrize(
    ("text", "line", "key", "why", "works"),
    [
        ('name = "a"\nname = "b"\n', 2, "name", "line 1 has set it already", "one of the two"),
        ("[front]\n[rear]\n[front]\n", 3, "front", "line 1 has set it already", "one of the two"),
        ('[front]\ntrack = "1 m"\n\ntrack = "2 m"\n', 4, "front.track", "line 2", "one of the two"),
        ("wheelbase = 2850 mm\n", 1, "", "not TOML", 'wheelbase = "2850 mm", with the quotes'),
        ('a = 1\nb = "unfinished\n', 2, "", "not TOML", "key ="),
        ("name: Wagon\n", 1, "", "not TOML", 'name = "Wagon"'),
        ("a = [1,\n2", 2, "", "not TOML", "key ="),
    ],
)
def test_what_is_not_toml(text, line, key, why, works):
    fault = syntax_fault(text)
    assert (fault.line, fault.key) == (line, key)
    assert why in fault.why
    assert works in fault.works


@pytest.mark.parametrize("text", ["a = " + "[" * 20000, "a = " + "1" * 10000, "a = " + "{b=" * 5000])
def test_nesting_and_numbers_without_end_are_refused(text):
    assert "f.toml" in str(syntax_fault(text))


def refused(path):
    with pytest.raises(SpecError) as caught:
        load_vehicle(path)
    return one(caught.value.faults)


def test_files_that_cannot_be_vehicle_files(tmp_path):
    assert "directory" in refused(tmp_path).read
    (tmp_path / "wagon.toml").write_text("")
    assert refused(tmp_path / "wagn.toml").works == "there is wagon.toml"
    assert "no such file" in refused(tmp_path / "none" / "x.toml").why
    large = tmp_path / "large.toml"
    large.write_bytes(b"# " + b"x" * 10_000_000)
    assert str(LARGEST_FILE // 1000) in refused(large).read
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\x7fELF\x02\0\0\0")
    assert "binary" in refused(binary).why
    for encoding in ("utf-16", "utf-16-be"):
        wide = tmp_path / "wide.toml"
        wide.write_text('\ufeffname = "a"\n' if encoding == "utf-16-be" else 'name = "a"\n', encoding=encoding)
        assert refused(wide).read == "UTF-16"
        assert "save it as UTF-8" in refused(wide).works
    latin = tmp_path / "latin.toml"
    latin.write_bytes('name = "a"\nnotes = "2150 kg \xb1 20"\n'.encode("latin-1"))
    fault = refused(latin)
    assert fault.line == 2
    assert "UTF-8" in fault.why


def test_a_byte_order_mark_is_passed_over(tmp_path, minimal):
    file = tmp_path / "marked.toml"
    file.write_text(minimal, encoding="utf-8-sig")
    assert load_vehicle(file).name == "Minimal wagon"


def test_an_empty_file_names_all_that_is_needed(tmp_path):
    with pytest.raises(SpecError) as caught:
        read_vehicle("", "empty.toml")
    assert {fault.key for fault in caught.value.faults} == {
        "name",
        "construction",
        "wheelbase",
        "mass",
        "front",
        "rear",
    }


VALUES = st.one_of(
    st.text(max_size=12).map(lambda text: '"' + "".join(c for c in text if c.isalnum() or c in " .±/%-") + '"'),
    st.sampled_from(
        [
            "true",
            "nan",
            "-inf",
            "5",
            "[]",
            "{}",
            '"5 mm"',
            '"0 mm"',
            '"1e300 kg"',
            '"-5 N/mm"',
            '["a"]',
            "1979-05-27",
            '{ value = "5 mm" }',
        ]
    ),
)


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_any_value_anywhere_is_used_or_refused_with_its_line(data):
    lines = template().split("\n")
    rows = [index for index, row in enumerate(lines) if " = " in row and not row.startswith("#")]
    index = data.draw(st.sampled_from(rows))
    key = lines[index].partition(" = ")[0]
    lines[index] = f"{key} = {data.draw(VALUES)}"
    try:
        spec = read_vehicle("\n".join(lines), "any.toml")
    except SpecError as error:
        faults, spec = error.faults, None
    if spec is None:
        assert faults
        assert all(fault.line and fault.works for fault in faults)
        return
    assert all(math.isfinite(estimate.value) for estimate in spec.inputs.values())


def test_faults_survive_the_way_between_processes(faults_of):
    error = SpecError(faults_of((TOTAL, "mass = 5"), (TYRE, "tyre = 4")))
    again = pickle.loads(pickle.dumps(error))
    assert again.faults == error.faults
    assert str(again) == str(error)


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ('wheelbase = "2800 mm"', 'wheelbase = "110 1/4"', 'write "110 1/4 in"'),
        ('wheelbase = "2800 mm"', 'wheelbase = "110.2"', 'write "110.2 in"'),
        ('wheelbase = "2800 mm"', "wheelbase = 2.8", 'write "2.8 m"'),
        ('wheelbase = "2800 mm"', "wheelbase = 2800", 'write "2800 mm"'),
        ('mass.total = "2100 kg"', "mass.total = 2100", 'write "2100 kg"'),
        ('mass.total = "2100 kg"', 'mass.total = "4630"', 'write "4630 lb"'),
        ('size = "265/70R17"', 'size = "265/70R17"\ntyre.pressure = "32"', 'write "32 psi"'),
        ('size = "265/70R17"', 'size = "265/70R17"\ntyre.pressure = 2.3', 'write "2.3 bar"'),
        ('size = "265/70R17"', 'size = "265/70R17"\ntyre.pressure = 220', 'write "220 kPa"'),
        ('size = "265/70R17"', 'size = "265/70R17"\nframe.torsional_rate = 1e9', '"rigid"'),
        ('size = "265/70R17"', 'size = "265/70R17"\nframe.torsional_rate = "1e9 N m/rad"', '"rigid"'),
        ('mass.total = "2100 kg"', 'mass.total = "2100 kg"\nsprung_mass = "1800 kg"', "mass.total or both axle loads"),
        ('mass.total = "2100 kg"', 'mass.total = "2100 kg"\nmass.sprung_mass = "1800 kg"', "masses are weighed whole"),
        ('suspension = "solid"', 'suspension = "solid"\nspring.motion_ratio = 0.6', "which over which"),
        ('suspension = "solid"', 'suspension = "solid"\ndamping = "3 N/mm"', "damping does not enter"),
        ('suspension = "solid"', 'suspension = "solid"\nsway_bar = true', "anti_roll_bar"),
    ],
)
def test_advice_guesses_from_the_context_not_from_the_spelling(before, after, said):
    text = template(minimal=True)
    assert before in text
    with pytest.raises(SpecError) as caught:
        read_vehicle(text.replace(before, after, 1), "v.toml")
    assert any(said in str(fault) for fault in caught.value.faults), str(caught.value)
