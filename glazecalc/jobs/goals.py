"""What a changed recipe is asked to do, in words and as chances."""

from __future__ import annotations

from glazecalc.jobs.setup import Setup
from glazecalc.models.firing import SURE
from glazecalc.values.answers import ProblemsError, error
from glazecalc.values.results.adjust import Goals


def goals_of(setup: Setup, keep: tuple[str, ...] = ()) -> Goals:
    """The goals of one setting.

    Raises
    ------
    ProblemsError
        if there is neither a clay to fit nor a cone to melt at.
    """
    fit, melt = setup.body is not None, setup.cone is not None
    if not fit and not melt:
        hint = "name a clay with --body, or a cone with --cone"
        raise ProblemsError(
            [error("no-goal", "there is no clay to fit and no cone to melt at, so nothing to aim for", hint)]
        )
    words = []
    if fit and setup.body is not None:
        words.append(f"sound on {setup.body.name} with a chance of at least {setup.limits.sound_percent:g} %")
    if melt:
        words.append(f"matures at cone {setup.cone} with at least {100 * SURE:.0f} %, neither underfired nor running")
    words.append(f"keeps its {' and '.join(keep)} first" if keep else "keeps its character as near as can be")
    return Goals(
        sound=setup.limits.sound_percent / 100.0,
        matures=SURE,
        fit=fit,
        melt=melt,
        words=tuple(words),
    )
