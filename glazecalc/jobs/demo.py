"""Says of an answer that it rests on the demo's invented clay, kiln, outlet or scale, left as they were shipped."""

from __future__ import annotations

from functools import cache
from typing import Final

from glazecalc.values.answers import Problem, remark
from glazecalc.values.data import data_root
from glazecalc.values.inputs import Body, Circuit, Kiln, Scale, Studio

Thing = Body | Kiln | Circuit | Scale
_NAMES: Final = frozenset({
    "Harbour stoneware", "Dune earthenware", "Gull porcelain", "Shed kiln", "Guild kiln", "Shed outlet",
    "Kitchen outlet", "Far end of the garden", "Guild wall", "Guild wall, 208 volts", "bench scale",
})  # fmt: skip
"""What the demo calls its things; a studio with other names is not compared with it."""


def demo_remark(*things: Thing | None) -> tuple[Problem, ...]:
    """A remark that names the things which are the demo's, unchanged; none where there are none."""
    untouched = [t.name for t in things if t is not None and t.name in _NAMES and _is_shipped(t)]
    if not untouched:
        return ()
    names = ", ".join(dict.fromkeys(untouched))
    text = f"invented for the demo and left as it was: {names}; this answer is not about your own things"
    return (remark("demo-data", text, "answer a few questions about your own: glazecalc start DIR"),)


def _is_shipped(thing: Thing) -> bool:
    return _plain(thing) in _shipped()


@cache
def _shipped() -> tuple[Thing, ...]:
    from glazecalc.files.studio import read_studio

    demo: Studio = read_studio(data_root() / "recipes")[0]
    things: tuple[Thing, ...] = (*demo.bodies, *demo.kilns, *demo.circuits, *demo.scales)
    return tuple(_plain(thing) for thing in things)


def _plain(thing: Thing) -> Thing:
    """The thing without the line it stands on."""
    return thing if isinstance(thing, Scale) else thing.model_copy(update={"line": None})
