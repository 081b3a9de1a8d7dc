"""Lines of keys. In the generated documents every value is the line its key stands on."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from articulate.spec.source_lines import find_source_lines

DOCUMENT = '''\
# comment = 1
a = 1
"b c".d = 2  # [not.a.table]
'e."f' = "x # y"

[t.u]
v = """
[no]
key = 1
"""
w = [
  1, # one
  { x = 2, y = { z = 3 } },
]
m.n = 4
[[p]]
q = 5
[[p]]
q = 6
[p.r]
s = \'\'\'it's
fine\'\'\'
[[p.list]]
k = {g = "}", h = ["]", 2]}
[t]
late = 2020-01-01
"tab\\u0041" = true
'''


def test_lines_of_every_form_of_key():
    found = find_source_lines(DOCUMENT)
    expected = {
        ("a",): 2,
        ("b c", "d"): 3,
        ('e."f',): 4,
        ("t", "u"): 6,
        ("t", "u", "v"): 7,
        ("t", "u", "w"): 11,
        ("t", "u", "w", 0): 12,
        ("t", "u", "w", 1): 13,
        ("t", "u", "w", 1, "x"): 13,
        ("t", "u", "w", 1, "y", "z"): 13,
        ("t", "u", "m", "n"): 15,
        ("p", 0): 16,
        ("p", 0, "q"): 17,
        ("p", 1): 18,
        ("p", 1, "q"): 19,
        ("p", 1, "r"): 20,
        ("p", 1, "r", "s"): 21,
        ("p", 1, "list", 0): 23,
        ("p", 1, "list", 0, "k", "g"): 24,
        ("p", 1, "list", 0, "k", "h", 1): 24,
        ("t",): 25,
        ("t", "late"): 26,
        ("t", "tabA"): 27,
    }
    assert {path: found.lines[path] for path in expected} == expected
    assert found.repeated == ()


def every_path(value, path=()):
    if path:
        yield path
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in items:
        yield from every_path(inner, (*path, key))


def test_every_path_of_the_document_has_a_line():
    found = find_source_lines(DOCUMENT)
    assert set(every_path(tomllib.loads(DOCUMENT))) <= set(found.lines)


def test_windows_line_ends_change_nothing():
    assert find_source_lines(DOCUMENT.replace("\n", "\r\n")).lines == find_source_lines(DOCUMENT).lines


def test_of_falls_back_to_the_table_around():
    found = find_source_lines("[front]\ntrack = 1\n")
    assert found.of(("front", "spring", "rate")) == 1
    assert found.of(("rear",)) is None


@pytest.mark.parametrize(
    ("text", "repeated"),
    [
        ("a = 1\nb = 2\na = 3\n", (("a",), 1, 3)),
        ("[t]\na = 1\n[u]\n[t]\n", (("t",), 1, 4)),
        ("x = { a = 1, a = 2 }\n", (("x", "a"), 1, 1)),
        ("[[p]]\nq = 1\n[[p]]\nq = 1\n\nq = 2\n", (("p", 1, "q"), 4, 6)),
        ('a = """\n\n"""\na = 1\n', (("a",), 1, 4)),
    ],
)
def test_a_key_set_twice_is_found_with_both_lines(text, repeated):
    with pytest.raises(tomllib.TOMLDecodeError):
        tomllib.loads(text)
    assert find_source_lines(text).repeated[0] == repeated


NAMES = st.text(alphabet="abcdefgh", min_size=1, max_size=6)
FILLERS = st.sampled_from(
    [
        "",
        "# a = 9",
        "   ",
        'skip{} = """\nx = 1\n[y]\n"""',
        "skip{} = '''\n\n'''",
        'skip{} = [\n "]",\n # ]\n {{ k = "}}" }},\n]',
    ]
)


@settings(max_examples=150)
@given(
    st.lists(
        st.tuples(st.sampled_from(["pair", "dotted", "inline", "table", "array"]), NAMES, FILLERS),
        max_size=25,
    )
)
def test_in_generated_documents_every_value_is_its_line(parts):
    lines: list[str] = []

    def here():
        return len("\n".join(lines).split("\n")) + 1 if lines else 1

    for index, (form, name, filler) in enumerate(parts):
        key = f"{name}{index}"
        if filler:
            lines.append(filler.format(index))
        if form == "pair":
            lines.append(f"{key} = {here()}")
        elif form == "dotted":
            lines.append(f"{key}.\"x.y\" . 'z' = {here()}")
        elif form == "inline":
            lines.append(f'{key} = {{ a = {here()}, "b".c = {here()}, d = [{here()}] }}')
        elif form == "table":
            lines.append(f"[table{index}.{name}]")
        else:
            lines.append("[[array]]")
    text = "\n".join(lines)
    found = find_source_lines(text)
    data = tomllib.loads(text)
    for path in every_path(data):
        assert path in found.lines
        value = data
        for part in path:
            value = value[part]
        if isinstance(value, int):
            assert found.lines[path] == value


@given(st.text(alphabet="ab=[]{}.\"'#\n, 1\\", max_size=40))
def test_any_text_is_walked_without_an_error(text):
    found = find_source_lines(text)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    assert set(every_path(data)) <= set(found.lines)
