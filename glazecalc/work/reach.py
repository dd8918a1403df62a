"""One step of the check: does this kiln, on this circuit, get to the cone?"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from glazecalc.judge.rated import RULE
from glazecalc.judge.reach import judge_reach
from glazecalc.judge.typed import kiln_command
from glazecalc.values.ceiling import Ceiling
from glazecalc.values.cones import Cone
from glazecalc.values.estimate import Estimate
from glazecalc.values.inputs import Circuit, Kiln, Limits
from glazecalc.values.problem import Problem
from glazecalc.values.verdict import Answer, Verdict
from glazecalc.work.kilns.kiln_ceiling import MISFIT_TO_TELL, ceiling, ceiling_remarks, volts_go_together
from glazecalc.work.kilns.supply import with_circuit
from glazecalc.work.setting import Question, Setting

if TYPE_CHECKING:
    from glazecalc.models.kiln_draws import KilnDraws


def reach(question: Question) -> tuple[tuple[Estimate, ...], Verdict, tuple[Problem, ...]]:
    """The kiln's ceiling, the verdict on reaching the cone, and remarks."""
    setting = question.setting
    kiln = setting.kiln
    if kiln is None:
        message = "No kiln is named, so reach cannot be judged: add --kiln, or a [[kiln]] to studio.toml."
        return (), Verdict(RULE, Answer.CANNOT_SAY, message), ()
    found = ceiling_of(setting)
    heat = reach_verdict(kiln, setting.circuit, setting.cone, found, setting.limits, setting.folder)
    verdict = with_circuit(heat, kiln, setting.circuit) if setting.circuit else _no_outlet(heat, setting, kiln)
    if found is None:
        return (), verdict, ()
    return (found.estimate,), verdict, ceiling_remarks(kiln, found, setting.folder)


def _no_outlet(heat: Verdict, setting: Setting, kiln: Kiln) -> Verdict:
    """The verdict on the heat alone, saying that no outlet is judged."""
    if heat.answer is Answer.DOES_NOT_FIT:
        return heat
    what = "named" if setting.circuits else "described"
    text = f"No outlet is {what}, so whether one carries this kiln is not judged"
    return replace(heat, message=f"{heat.message} {text}: {kiln_command(kiln.name, setting.folder)}")


def ceiling_of(setting: Setting) -> Ceiling | None:
    """How hot the setting's kiln gets on its circuit, as its firings teach it; None where nothing can be said."""
    return None if setting.kiln is None else ceiling(setting.kiln, setting.circuit, learned_kiln(setting))


def learned_kiln(setting: Setting) -> KilnDraws | None:
    """The kiln as its recorded firings teach it, where there are any."""
    if setting.kiln is None or not setting.firings:
        return None
    from glazecalc.work.kilns.learn_kiln import learned_draws

    return learned_draws(setting.kiln, setting.firings, setting.circuits)


def reach_verdict(
    kiln: Kiln, circuit: Circuit | None, cone: Cone | None, found: Ceiling | None, limits: Limits, folder: str = "."
) -> Verdict:
    """The verdict on ``cone`` from a ceiling already worked out, by the heat alone."""
    if circuit is not None and not volts_go_together(kiln, circuit):
        text = f"{kiln.name} is made for {kiln.volts:g} V and does not belong on {circuit.name}, {circuit.volts:g} V."
        return Verdict(RULE, Answer.DOES_NOT_FIT, text, because=f"{kiln.name} does not belong on {circuit.name}")
    return judge_reach(
        kiln.name,
        kiln.cone,
        cone,
        None if found is None else found.estimate,
        None if found is None else found.cone,
        None if found is None or cone is None else found.chance(cone),
        limits,
        found is not None and found.misfit >= MISFIT_TO_TELL,
        folder,
    )
