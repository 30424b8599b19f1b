"""Crop figures: nodes above white flower with the cutout that they propose, and the stage of a field."""

from collections.abc import Sequence
from fractions import Fraction

from bot.conversation.turn import Purpose, Turn, tell_supervisors
from bot.replies import Speech, exact_number, figure_number, first_fitting, named, plain_number, with_name
from bot.rules import Field, Phase, Role, Stage
from parsing import Nawf, StageSaid
from storage import NawfRow, StageText, first_time, nawf_of_field, nawf_on


def hear_nawf(turn: Turn, said: Nawf) -> None:
    """Keep nodes above white flower, plant by plant; a second count of a day replaces the first."""
    book = turn.book
    field = book.season.field_of(said.number)
    if field is None:
        return
    before = next(iter(nawf_on(book.session, said.number, turn.day)), None)
    plants = [str(plant) for plant in said.plants]
    values: dict[str, object] = {"number": said.number, "nawf": _nawf_words(turn, plants)}
    if before is not None and before.plants == plants:
        turn.reply(turn.say("nawf.same", **values))
        return
    was = ""
    if before is not None:
        before.ended_at, before.ended_by = book.now, turn.text.id
        was = turn.say("nawf.was", nawf=_nawf_words(turn, before.plants))
    book.session.add(
        NawfRow(
            number=said.number,
            field=field.number,
            day=turn.day,
            plants=plants,
            person=turn.whose.key,
            text_id=turn.text.id,
            counted_at=turn.sent,
            replaces=before.id if before is not None else None,
        )
    )
    book.session.flush()
    mean = _nawf_words(turn, plants, listed=False)
    turn.reply(
        turn.say("nawf.kept", was=was, **values),
        turn.say("nawf.kept", was="", **{**values, "nawf": mean}),
    )
    _propose_cutout(turn, field, said.number, _mean(plants))


def _nawf_words(turn: Turn, plants: Sequence[str], *, listed: bool = True) -> str:
    """Give the mean and the plants that it is of: 5.75, 4 plants (6 5 5 7)."""
    mean = plain_number(_mean(plants))
    if len(plants) == 1:
        return turn.say("nawf.one", mean=mean)
    key = "nawf.mean_listed" if listed else "nawf.mean"
    return turn.say(key, mean=mean, n=len(plants), plants=" ".join(plants))


def _mean(plants: Sequence[str]) -> Fraction:
    return sum(map(Fraction, plants), Fraction(0)) / len(plants)


def _propose_cutout(turn: Turn, field: Field, number: int, mean: Fraction) -> None:
    """Propose cutout to the supervisors, once a day, where the nodes are down to the season's mark; nothing is set."""
    book = turn.book
    stage = book.stage_on(field, book.today)
    key = f"{Purpose.NOTICE}:cutout-nawf:{field.number}:{turn.day}"
    if mean > book.season.cutout_nawf or (stage is not None and stage.phase is Phase.CUTOUT):
        return
    if not first_time(book.session, key, book.now):
        return
    rows = [one for one in nawf_of_field(book.session, field.number) if one.number == number]
    earlier = [one for one in rows if one.day < turn.day]

    def build(speech: Speech) -> str:
        before = ""
        if earlier:
            last = earlier[-1]
            nodes = plain_number(_mean(last.plants))
            before = speech.say("nawf.before", mean=nodes, day=speech.short_date(last.day))
        return with_name(
            speech,
            "notice.cutout_nawf",
            field.name,
            number=number,
            mean=figure_number(mean, (book.season.cutout_nawf,)),
            day=speech.short_date(turn.day),
            before=before,
            mark=exact_number(book.season.cutout_nawf),
            field=field.number,
        )

    tell_supervisors(book, field, key, build, cause=turn.text.id)


def hear_stage(turn: Turn, said: StageSaid) -> None:
    """Set a field's stage from today where a supervisor says it; from anyone else it is a proposal."""
    book = turn.book
    field = book.season.field_of(said.number)
    if field is None:
        return
    decides = Role.SUPERVISOR in turn.person.roles and turn.person.key in field.supervisors
    phase = Phase[said.phase.upper()]
    before = book.mark_on(field, turn.day)
    known = before.on(turn.day) if before is not None and not before.proposal else None
    week, counted_on = _week(turn, field, phase, said.week)
    stage = Stage(phase, week if phase.has_weeks else None)
    if known == stage and not decides:
        turn.reply(
            with_name(
                turn.speech,
                "stage.same",
                field.name,
                field=field.number,
                stage=turn.speech.stage(stage),
            )
        )
        return
    book.session.add(
        StageText(
            field=field.number,
            day=turn.day,
            phase=phase.word,
            week=week,
            proposal=not decides,
            person=turn.whose.key,
            text_id=turn.text.id,
            said_at=turn.sent,
        )
    )
    book.session.flush()
    word = turn.say(f"stage_words.{phase.word}")
    values: dict[str, object] = {"field": field.number, "stage": turn.speech.stage(stage)}
    if decides:
        key = "stage.set" if counted_on or not phase.has_weeks else "stage.set_week_one"
        day = turn.speech.short_date(turn.day)
        turn.reply(
            *(turn.say(key, name=name, day=day, word=word, **values) for name in named(field.name)),
            turn.say("stage.set", name="", day=day, **values),
        )
        return
    values["supervisor"] = turn.who_hears(field)
    if known is None:
        turn.reply(with_name(turn.speech, "stage.proposed_holds", field.name, **values))
    else:
        current = turn.speech.stage(known)
        turn.reply(with_name(turn.speech, "stage.proposed", field.name, current=current, **values))
    _tell_proposal(turn, field, stage, known)


def _week(turn: Turn, field: Field, phase: Phase, said: int | None) -> tuple[int, bool]:
    """Give the week that a stage begins with, and whether anybody or any date said it."""
    if said is not None:
        return said, True
    dated = [mark for mark in field.stage_dates if mark.phase is phase and mark.since <= turn.day]
    if not dated:
        return 1, False
    week = max(dated, key=lambda mark: mark.since).on(turn.day).week
    return week or 1, True


def _tell_proposal(turn: Turn, field: Field, stage: Stage, known: Stage | None) -> None:
    key = "notice.proposal_holds" if known is None else "notice.proposal"
    tell_supervisors(
        turn.book,
        field,
        f"proposal:{turn.text.id}",
        lambda speech: first_fitting(
            *(
                speech.say(
                    key,
                    name=turn.person.first_name,
                    field=field.number,
                    field_name=name,
                    stage=speech.stage(stage),
                    current=speech.stage(known) if known else "",
                    word=stage_said(speech, stage),
                )
                for name in named(field.name)
            )
        ),
        cause=turn.text.id,
    )


def stage_said(speech: Speech, stage: Stage) -> str:
    """Give a stage as it is texted after STAGE: BLOOM 2."""
    word = speech.say(f"stage_words.{stage.phase.word}")
    return word if stage.week is None else f"{word} {stage.week}"
