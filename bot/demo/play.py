"""Plays the day: each text at its time, what comes back, the alerts, the digest; then the phones are yours."""

import signal
import threading
import time as clock_time
from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from rich.console import Console
from rich.text import Text

from bot.demo.recount import Phone, faults_of
from bot.demo.script import Day, read_day, read_demo_season, season_path
from bot.demo.stage import Stage, StageError, set_up
from bot.rules import Person, Season

BEGINS = time(6, 55)
PAUSE_S = 0.45
STYLES = {"scout": "cyan", "leader": "magenta", "supervisor": "magenta", "grower": "green"}


class Conversation:
    """Prints what each phone sends and gets, each line once, in the order in which it is seen."""

    def __init__(self, console: Console, season: Season, stage: Stage) -> None:
        self.console, self.stage, self.zone = console, stage, ZoneInfo(season.timezone)
        self.people = {person.phone: person for person in season.people.values() if person.phone}
        self.seen = dict.fromkeys(self.people, 0)

    def show(self) -> None:
        """Print what is new on every phone."""
        fresh = []
        for phone, person in self.people.items():
            lines = self.stage.conversation(phone)
            fresh += [
                (line["at"], line["direction"] == "in", person, line) for line in lines[self.seen[phone] :]
            ]
            self.seen[phone] = len(lines)
        for at, received, person, line in sorted(fresh, key=lambda one: (one[1], one[0])):
            self._print(datetime.fromisoformat(at), person, str(line["text"]), received=received)

    def _print(self, at: datetime, person: Person, words: str, *, received: bool) -> None:
        style = STYLES[min(person.roles, key=list(STYLES).index)]
        head = Text()
        if received:
            head.append(f"{'':7}{person.first_name:>7} ", style="dim")
            head.append("< ", style=style)
            head.append(words, style=style)
        else:
            local = at.astimezone(self.zone)
            head.append(f"{local:%H:%M}  ", style="dim")
            head.append(f"{person.first_name:>7} ", style="bold")
            head.append("> ", style="bold")
            head.append(words, style="bold")
        self.console.print(head, soft_wrap=True)


def run_demo(*, play: bool) -> int:
    """Play the day on a fresh database and give the exit status.

    With `play` the phones' texts are recounted and the demo ends, 0 only if all is as the counts demand;
    else it goes on until Ctrl-C, the phones in the browser being the visitor's.
    """
    console = Console(highlight=False)
    season, day = read_demo_season(), read_day()
    _end_on_sigterm()
    try:
        with set_up(day.moment(season, BEGINS), season_path()) as stage:
            return _on_stage(console, season, day, stage, play=play)
    except StageError as fault:
        console.print(f"[red]The demo could not go on: {fault}.[/red]")
        return 1
    except KeyboardInterrupt:
        console.print("\nThe demo has ended; nothing of it is kept.")
        return 0


def _end_on_sigterm() -> None:
    def leave(_number: int, _frame: object) -> None:
        raise KeyboardInterrupt

    signal.signal(signal.SIGTERM, leave)


def _on_stage(console: Console, season: Season, day: Day, stage: Stage, *, play: bool) -> int:
    console.print(f"[bold]{season.name}[/bold], {day.day:%A %B} {day.day.day}, an invented season.")
    console.print(f"The phones are at {stage.carrier_url}\n")
    talk = Conversation(console, season, stage)
    _play_day(season, day, stage, talk, pause=0 if play else PAUSE_S)
    if play:
        faults = faults_of(season, day, _phones(season, stage))
        for fault in faults:
            console.print(f"[red]{fault}[/red]")
        if not faults:
            console.print("\nWhat the phones received is what the counts demand.")
        return 1 if faults else 0
    console.print(
        f"\nThe day is played. Pick a phone and text: [bold]{stage.carrier_url}[/bold]   (Ctrl-C ends)"
    )
    threading.Event().wait()
    return 0


def _play_day(season: Season, day: Day, stage: Stage, talk: Conversation, *, pause: float) -> None:
    for kept, line in enumerate(day.lines, start=1):
        person = next(one for key, one in season.people.items() if key == line.who)
        moment = day.moment(season, line.at)
        stage.set_clock(moment)
        stage.press(person.phone or "", line.says, moment)
        stage.settled(kept)
        talk.show()
        clock_time.sleep(pause)
    stage.set_clock(day.moment(season, season.day_ends) + timedelta(minutes=1))
    talk.console.print(f"\n[dim]{season.day_ends:%H:%M}, the day ends[/dim]")
    for person in season.people.values():
        if person.crew or "supervisor" in person.roles:
            before = sum(one["direction"] == "in" for one in stage.conversation(person.phone or ""))
            stage.until_sent(person.phone or "", before + 1)
    stage.settled(len(day.lines))
    talk.show()


def _phones(season: Season, stage: Stage) -> list[Phone]:
    phones = []
    for person in season.people.values():
        lines = stage.conversation(person.phone or "")
        received = tuple(str(line["text"]) for line in lines if line["direction"] == "in")
        phones.append(Phone(person, received, len(lines) - len(received)))
    return phones
