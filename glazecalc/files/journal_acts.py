"""What was done to a journal, act by act, and which acts still hold: the order in which they can be undone.

An act is all that was written in one go: one tile, a plan of tiles, an import. Undoing writes a new act, so nothing is
lost; undoing an undoing does the first act again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from glazecalc.values.records import Act, Entry, Kind, Step


@dataclass(frozen=True, slots=True)
class Standing:
    """Which acts hold: ``done`` are the numbers of acts that can be undone, the last one first in turn.

    ``again`` are pairs of an act that was undone and the act that undid it, which can be done again from the end;
    ``undone`` is every act that no longer holds.
    """

    done: tuple[int, ...]
    again: tuple[tuple[int, int], ...]
    undone: frozenset[int]


def acts_of(entries: Iterable[Entry]) -> tuple[Act, ...]:
    """The rows of a journal, in the order written, as acts; each row with the form before it."""
    before: dict[tuple[Kind, str], Entry] = {}
    steps: dict[int, list[Step]] = {}
    for entry in entries:
        key = entry.kind, entry.id
        steps.setdefault(entry.act, []).append(Step(entry, before.get(key)))
        before[key] = entry
    acts = [Act(number, of[0].entry.recorded_at, tuple(of), of[0].entry.undoes) for number, of in steps.items()]
    undone = standing(acts).undone
    undoing: set[int] = set()
    for act in acts:
        if act.undoes and act.undoes not in undoing:
            undoing.add(act.number)
    return tuple(
        replace(act, undone=act.number in undone, again=act.undoes != 0 and act.number not in undoing) for act in acts
    )


def standing(acts: Sequence[Act]) -> Standing:
    """Which of the acts hold. Something new written after an undoing puts an end to doing again what was undone."""
    done: list[int] = []
    again: list[tuple[int, int]] = []
    gone: set[int] = set()
    for act in acts:
        first = next((pair for pair in again if pair[1] == act.undoes), None)
        if not act.undoes:
            done.append(act.number)
            again = []
        elif act.undoes in done:
            done.remove(act.undoes)
            gone.add(act.undoes)
            again.append((act.undoes, act.number))
        elif first is not None:
            again.remove(first)
            gone.remove(first[0])
            done.append(first[0])
    return Standing(tuple(done), tuple(again), frozenset(gone))
