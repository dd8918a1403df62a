"""An interior written as words is answered once, with what to write."""

from __future__ import annotations

from pathlib import Path

from glazecalc.files.studio import read_studio


def test_words_for_an_interior(tmp_path: Path) -> None:
    file = tmp_path / "studio.toml"
    file.write_text('[[kiln]]\nname = "K"\ninterior = "8 in x 8 in x 9 in"\n', encoding="ascii")
    _, problems = read_studio(tmp_path)
    told = [p for p in problems if "interior" in p.message]
    assert len(told) == 1
    assert 'interior = { shape = "square", width_mm' in told[0].hint


def test_the_hint_and_a_depth_are_read(tmp_path: Path) -> None:
    file = tmp_path / "studio.toml"
    inside = 'interior = { shape = "square", width_mm = 200, height_mm = 230, depth_mm = 210 }'
    file.write_text(f'[[kiln]]\nname = "K"\n{inside}\n', encoding="ascii")
    studio, problems = read_studio(tmp_path)
    assert not [p for p in problems if p.is_error]
    assert studio is not None and studio.kilns[0].interior is not None
    assert studio.kilns[0].interior.depth_mm == 210.0
