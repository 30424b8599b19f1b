"""A rehearsal as JSON, in a form that stays."""

import math
from dataclasses import asdict

from bot.rehearsal.asked import Prepared
from bot.rehearsal.one_site import OneSite
from bot.rehearsal.running import Figures, Wanted
from bot.rehearsal.said import NOT_CLAIMED
from bot.rehearsal.seasons import SeasonTally
from bot.rehearsal.tally import At
from bot.rehearsal.values import Rehearsal, said_effort


def as_json(prepared: Prepared, wanted: Wanted, found: Figures) -> dict[str, object]:
    """Give all figures in full; an infinite k is null, and so is a mean of nothing."""
    of = prepared.rehearsal
    return {
        "name": prepared.name,
        "assumed": list(prepared.assumed),
        "not_claimed": NOT_CLAIMED if of.sites > 1 and of.sequential is not None else None,
        "field": _field(of),
        "rounds": wanted.rounds,
        "seed": wanted.seed,
        "at": [_at(one, of) for one in found.at],
        "seasons": {
            "many": wanted.seasons,
            "start": float(wanted.growth.start),
            "doubling_days": float(wanted.growth.doubling_days),
            "every_days": wanted.growth.every_days,
            "soonest_days": math.fsum(found.soonest) / len(found.soonest) if found.soonest else None,
            "ways": {way.value: _season(season) for way, season in found.seasons.items()},
        },
        "one_site": None if found.one_site is None else _one_site(found.one_site, of),
    }


def _field(of: Rehearsal) -> dict[str, object]:
    stop = of.sequential.stop if of.sequential is not None else None
    return {
        "sites": of.sites,
        "samples": of.plan.samples,
        "each": said_effort(of.plan.each),
        "level": float(of.level.high),
        "per": said_effort(of.level.per),
        "k": _finite(of.spread.k),
        "k_sites": _finite(of.spread.k_sites),
        "stop": None
        if stop is None or of.sequential is None
        else {
            "low": float(stop.low),
            "high": float(stop.high),
            "per": said_effort(stop.per),
            "k": None if stop.k is None else float(stop.k),
            "alpha": float(stop.alpha),
            "beta": float(stop.beta),
            "at_least": stop.at_least,
            "most": of.sequential.samples,
        },
    }


def _at(one: At, of: Rehearsal) -> dict[str, object]:
    return {
        "times": float(one.times),
        "density": float(one.times * of.level.high),
        "truth": "above" if one.is_above else "below",
        "ways": {
            way.value: {
                "called_above": tally.share_above,
                "wrong": one.wrong(way),
                "samples": tally.mean_samples,
                "saved": one.saved(way),
                "alert_after": tally.mean_until_alert,
                "called_otherwise": tally.otherwise,
            }
            for way, tally in one.ways.items()
        },
    }


def _season(season: SeasonTally) -> dict[str, object]:
    return {
        "early": season.early,
        "days_mean": season.mean_late,
        "days_nine_in_ten": season.nine_in_ten,
        "missed_rounds": season.mean_missed,
        "samples": season.mean_samples,
        "without_alert": sum(end.days is None for end in season.ends),
    }


def _one_site(one: OneSite, of: Rehearsal) -> dict[str, object]:
    return {
        "low": float(one.low * of.level.high),
        "high": float(one.high * of.level.high),
        "alpha": one.alpha,
        "beta": one.beta,
        "samples_at_low": one.at_low.mean_samples,
        "samples_at_high": one.at_high.mean_samples,
        "exact": None if one.exact is None else asdict(one.exact),
    }


def _finite(k: float) -> float | None:
    return None if math.isinf(k) else k
