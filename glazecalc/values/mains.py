"""Plugs, receptacles, wires and breakers as the published tables give them, and what a circuit's check found."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

from glazecalc.values.answers import Answer
from glazecalc.values.data import read_table, rows_as

FEET_PER_KM: Final = 1000.0 / 0.3048
_CONFIG = re.compile(r"(?:nema)?[\s-]*(tt|l?\d{1,2})\s*-\s*(\d{2})\s*[pr]?", re.IGNORECASE)


class Receptacle(NamedTuple):
    """One configuration of NEMA WD 6. ``takes`` names the plugs that fit, by configuration."""

    config: str
    volts: float
    amps: float
    ground: bool
    phase: int
    takes: tuple[str, ...]
    description: str
    source: str


class Conductor(NamedTuple):
    """Copper wire of one gauge: resistance at 75 degC and the largest breaker it may stand behind [A]."""

    awg: int
    stranded_ohm_per_1000ft: float
    largest_breaker_A: float
    source: str

    @property
    def stranded_ohm_per_km(self) -> float:
        """Resistance at 75 degC [ohm/km]."""
        return self.stranded_ohm_per_1000ft * FEET_PER_KM / 1000


class Breaker(NamedTuple):
    """A standard breaker [A] and the receptacle ratings that may stand on its circuit [A]; empty is not tabled."""

    amps: float
    receptacle_amps: tuple[float, ...]
    source: str


@dataclass(frozen=True, slots=True)
class MainsTables:
    """The tables that the circuit rules are judged with."""

    receptacles: tuple[Receptacle, ...]
    conductors: tuple[Conductor, ...]
    breakers: tuple[Breaker, ...]

    def receptacle(self, text: str) -> Receptacle | None:
        """The configuration written in ``text``, or None if it is not in the table."""
        name = config_name(text)
        return next((r for r in self.receptacles if r.config == name), None)

    def conductor(self, awg: int) -> Conductor | None:
        """The wire of that gauge, or None if it is not in the table."""
        return next((c for c in self.conductors if c.awg == awg), None)

    def breaker_for(self, amps: float) -> float | None:
        """The smallest standard breaker not below ``amps`` [A], or None beyond the table."""
        return min((b.amps for b in self.breakers if b.amps >= amps - 1e-9), default=None)

    def breaker(self, amps: float) -> Breaker | None:
        """The standard breaker of exactly that rating, or None."""
        return next((b for b in self.breakers if b.amps == amps), None)


@dataclass(frozen=True, slots=True)
class Reason:
    """One finding about a circuit or a place: a stable code, a plain sentence, and what it does to the answer.

    ``answer`` is ``fits`` for a caution that does not decide. ``clause`` names the section and edition of the US code
    that it rests on, and whether that was quoted or recalled; empty where it rests on none.
    """

    code: str
    message: str
    answer: Answer
    clause: str = ""


@dataclass(frozen=True, slots=True)
class CircuitResult:
    """What can be said of one kiln on one circuit; None where a figure is not known.

    ``volts_at_kiln_V`` is under load; ``power_fraction`` is the heating power as a share of the plate's.
    """

    name: str
    answer: Answer
    load_A: float | None
    breaker_A: float | None
    minimum_breaker_A: float | None
    continuous_limit_A: float | None
    voltage_drop_V: float | None
    volts_at_kiln_V: float | None
    power_fraction: float | None
    reasons: tuple[Reason, ...]


class Clause(NamedTuple):
    """A clause of the US National Electrical Code in the project's own words, and the reasons that rest on it."""

    codes: tuple[str, ...]
    section: str
    edition: str
    how: str
    says: str

    @property
    def named(self) -> str:
        """Section, edition, and whether it was quoted or recalled."""
        edition = "edition not known" if self.edition == "not known" else f"{self.edition} edition"
        return f"US code {self.section}, {edition}, {self.how}"


@cache
def clauses() -> tuple[Clause, ...]:
    """The shipped table ``clauses.csv``."""
    return rows_as(Clause, read_table("clauses"))


def clause_of(code: str) -> str:
    """The clause that a reason of this code rests on, named; empty where it rests on none."""
    return next((c.named for c in clauses() if code in c.codes), "")


def config_name(text: str) -> str | None:
    """The configuration written in ``text`` without its P or R, or None.

    >>> config_name("NEMA 5-15P"), config_name("6-50R"), config_name("tt-30"), config_name("round pin")
    ('5-15', '6-50', 'TT-30', None)
    """
    match = _CONFIG.fullmatch(text.strip())
    return f"{match[1].upper()}-{match[2]}" if match else None


@cache
def mains_tables() -> MainsTables:
    """The shipped tables: ``receptacles.csv``, ``conductors.csv`` and ``breakers.csv``."""
    kinds = {"receptacles": Receptacle, "conductors": Conductor, "breakers": Breaker}
    return MainsTables(**{name: rows_as(kind, read_table(name)) for name, kind in kinds.items()})
