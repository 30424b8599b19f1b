"""The plans of a season: method, effort, card, and when to stop."""

from collections.abc import Iterator

from bot.rules import Column, Plan, SequentialStop
from bot.season_file.catalogue import all_columns, columns_of
from bot.season_file.draft import Draft
from bot.season_file.entries import Entry, given
from bot.season_file.faults import Fault, did_you_mean, no_such
from bot.season_file.forms import PlanForm, StopForm
from parsing import on_the_same_keys


def plan_faults(draft: Draft) -> Iterator[Fault]:
    """Give what is wrong with plans beside their own tables: card codes and stop lines."""
    for key, entry in draft.plans.items():
        yield from _card_faults(draft, entry.form, f"plans.{key}.card")
        if entry.form.stop is not None:
            yield from _stop_faults(draft, entry.form, entry.form.stop, f"plans.{key}.stop")


def card_columns(draft: Draft, form: PlanForm) -> tuple[Column, ...]:
    """Give a plan's columns in card order, as far as its codes are known."""
    known = all_columns(draft)
    return tuple(known[code] for code in form.card or () if code in known)


def build_plans(draft: Draft) -> dict[str, Plan]:
    """Give the plans of a draft without faults, in the file's order."""
    return {key: _plan(draft, key, entry) for key, entry in draft.plans.items()}


def _card_faults(draft: Draft, form: PlanForm, path: str) -> Iterator[Fault]:
    known = all_columns(draft)
    shares = {entry.form.code: key for key, entry in draft.shares.items()}
    card = form.card or []
    for code in dict.fromkeys(card):
        if card.count(code) > 1:
            yield Fault(path, f"{code} is on the card twice.")
        if code in shares:
            yield Fault(path, f"{code} is a share (shares.{shares[code]}), which has no place on a card.")
        elif code not in known:
            twins = on_the_same_keys(code, known)
            near = f" Did you mean {twins[0]}?" if twins else did_you_mean(code, known)
            yield Fault(path, f"There is no code {code}.{near}")


def _stop_faults(draft: Draft, form: PlanForm, stop: StopForm, path: str) -> Iterator[Fault]:
    if stop.target is not None and stop.target not in draft.targets:
        yield no_such(f"{path}.target", "target", stop.target, draft.targets)
    elif stop.target is not None and form.card is not None:
        codes = [column.code for column in columns_of(draft, stop.target)]
        if codes and not set(codes) & set(form.card):
            yield Fault(f"{path}.target", f"The card has no code of {stop.target} ({', '.join(codes)}).")
    each = form.each.effort if form.each is not None else None
    if stop.per is not None and each is not None and stop.per.unit is not each.unit:
        yield Fault(f"{path}.per", f"A sample of this plan is in {each.unit}, not in {stop.per.unit}.")
    if stop.at_least is not None and form.samples is not None and stop.at_least > form.samples:
        yield Fault(f"{path}.at_least", f"The plan has only {form.samples} samples.")


def _plan(draft: Draft, key: str, entry: Entry[PlanForm]) -> Plan:
    form = entry.form
    samples = given(form.samples)
    return Plan(
        key=key,
        method=given(form.method),
        samples=samples,
        each=given(form.each).effort,
        card=card_columns(draft, form),
        ask_above=form.ask_above,
        least=form.least or (samples + 1) // 2,
        every_days=form.every_days,
        recheck_days=tuple(form.recheck_days),
        stop=None if form.stop is None else _stop(form.stop),
        level_wanted=form.level is None,
        hours=None if form.hours is None else (form.hours[0], form.hours[1]),
        hoop_in=form.hoop_in,
        sheet=form.sheet,
        bucket_qt=form.bucket_qt,
    )


def _stop(form: StopForm) -> SequentialStop:
    return SequentialStop(
        target=given(form.target),
        low=given(form.low),
        high=given(form.high),
        per=given(form.per),
        alpha=given(form.alpha),
        beta=given(form.beta),
        at_least=given(form.at_least),
        k=form.k,
    )
