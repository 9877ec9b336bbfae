"""The reference pages are the program's own tables."""

from __future__ import annotations

import re
import tomllib

import pytest

from tests.adapters.toml_texts import AIRFIELD, AIRPLANE, NOW_UNIX_S, FixedVariation, demo_text, read
from tests.architecture.source import PACKAGE
from tools.make_reference import DOCS, FILES, PAGES, filled
from volplane.adapters.toml.airfield import read_airfield
from volplane.adapters.toml.airplane import read_airplane
from volplane.adapters.toml.exercise_keys import GATE_NAMES
from volplane.adapters.toml.keys import Form
from volplane.adapters.toml.standard import read_standard
from volplane.domain.exercise.exercise import GateName
from volplane.services.quantities import KINDS, Kind, read_quantity

SCHEMAS = sorted((PACKAGE / "faces" / "documents" / "schemas").glob("*.json"))


@pytest.mark.parametrize("name", PAGES)
def test_a_reference_page_is_what_the_program_prints(name: str) -> None:
    text = (DOCS / name).read_text(encoding="utf-8")
    assert text == filled(text), "run python tools/make_reference.py"
    assert text.count("<!-- end -->") == {"files.md": len(FILES), "json.md": len(SCHEMAS), "findings.md": 1}[name]


def test_the_table_of_units_names_every_unit_of_every_kind() -> None:
    text = (DOCS / "files.md").read_text(encoding="utf-8")
    for kind in KINDS:
        (row,) = re.findall(rf"^\| {kind.name} \|.*$", text, flags=re.MULTILINE)
        assert [unit.name for unit in kind.units if unit.name not in row] == []


@pytest.mark.parametrize("example", re.findall(r"```toml\n(.*?)```", (DOCS / "files.md").read_text("utf-8"), re.DOTALL))
def test_the_examples_of_the_page_are_read_without_a_fault(example: str) -> None:
    data = tomllib.loads(example)
    if "weights" in data:
        assert read_airplane(example, "example")[1] == ()
    elif "item" in data:
        assert read_standard(example, "example")[1] == ()
    elif "elevation" in data:
        assert read_airfield(example, "example", FixedVariation(), NOW_UNIX_S)[1] == ()
    else:
        assert read(example)[1] == ()


def test_every_default_and_bound_of_a_key_is_itself_accepted() -> None:
    for sections in FILES.values():
        for section in sections:
            for key in section.keys:
                typed = [each for each in (key.default, key.more_than, key.at_least, key.at_most) if each is not None]
                if isinstance(key.form, Kind):
                    assert all(isinstance(read_quantity(each, key.form), float) for each in typed)
                else:
                    assert key.default is None or not key.choices or key.default in key.choices
                if key.is_required and key.form not in (Form.TABLE, Form.TABLES):
                    assert tomllib.loads(f"key = {key.sample}")["key"] != "..."


def test_the_gates_of_the_phase_table_are_those_of_the_exercise() -> None:
    assert set(GATE_NAMES) == {gate.value for gate in GateName}


def test_the_demo_files_only_hold_keys_the_reference_knows() -> None:
    text = (DOCS / "files.md").read_text(encoding="utf-8")

    def paths(data: object, path: str) -> list[str]:
        if isinstance(data, dict):
            below = [
                inner for name, value in data.items() for inner in paths(value, f"{path}.{name}" if path else name)
            ]
            return [path, *below] if path else below
        if isinstance(data, list) and data and isinstance(data[0], dict):
            return [inner for each in data for inner in paths(each, path)]
        return [path]

    for demo in (AIRPLANE, AIRFIELD, demo_text("exercise.toml")):
        assert [path for path in paths(tomllib.loads(demo), "") if f"| `{path}` |" not in text] == []
