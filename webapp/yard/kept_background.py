"""Keep what a full refit found out about a yard, and bring it back while it still holds."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from sqlalchemy import delete

from webapp import clock
from webapp.drying.background import Background
from webapp.drying.fit import MODEL_VERSION
from webapp.drying.priors import YardEffect
from webapp.drying.weather import FeltWeather
from webapp.records.kept import YardEffect as KeptEffect
from webapp.records.kept import yard_effect_for

if TYPE_CHECKING:
    from datetime import date

    from sqlalchemy.orm import Session

    from webapp.yard.lay_out import Layout


def keep_background(session: Session, layout: Layout, as_of: date, found: Background) -> None:
    """Write down a refit's findings in place of earlier ones of that day."""
    session.execute(
        delete(KeptEffect).where(KeptEffect.version == MODEL_VERSION, KeptEffect.as_of == as_of)
    )
    session.add(
        KeptEffect(
            version=MODEL_VERSION,
            as_of=as_of,
            inputs_hash=layout.fingerprint,
            made_at=clock.now(),
            effects=_plain(found),
        )
    )


def background_for(session: Session, layout: Layout, as_of: date) -> Background | None:
    """Bring what was found of this day's yard; nothing where the yard has changed since."""
    kept = yard_effect_for(session, MODEL_VERSION, as_of)
    if kept is None or kept.as_of != as_of or kept.inputs_hash != layout.fingerprint:
        return None
    effect = {name: np.array(values) for name, values in kept.effects["effect"].items()}
    weather = {name: np.array(values) for name, values in kept.effects["weather"].items()}
    return Background(YardEffect(**effect), FeltWeather(**weather))


def _plain(found: Background) -> dict[str, Any]:
    return {
        "effect": {name: values.tolist() for name, values in vars(found.effect).items()},
        "weather": {name: values.tolist() for name, values in vars(found.weather).items()},
    }
