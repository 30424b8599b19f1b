"""What becomes of every text that one wrong key makes of a true one.

    python -m tests.studies.misread [--texts N] [--report FILE]

Each true text of `fixtures/studies/misread` meets a prepared state by the real road, and so does every text
that one slip makes of it (`slips`). What is stored afterwards is compared with what the true text stores,
and the reply is searched for it. No clock and no chance: two runs of one tree say the same.

Ends with status 1 where a law of `judging.Law` is broken, a text could not be heard, or a true text is not
taken; 0 else.
"""

import argparse
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.studies.corpus import Scene, TrueText, scenes
from tests.studies.judging import Judged, Outcome, is_valid, judge
from tests.studies.slips import slips_of
from tests.studies.tally import report
from tests.studies.trial import Heard, trial

COMMAND = "python -m tests.studies.misread"


@dataclass(frozen=True, slots=True)
class Study:
    """All slips of all texts as they were judged, and the true texts that were not taken, with their replies."""

    texts: tuple[TrueText, ...]
    judged: tuple[Judged, ...]
    not_valid: tuple[tuple[TrueText, str], ...]

    @property
    def holds(self) -> bool:
        """Whether every law holds, every text could be heard, and every true text is taken."""
        faults = (one for one in self.judged if one.breaks or one.outcome is Outcome.BROKE)
        return not self.not_valid and next(faults, None) is None


def study(chosen: Sequence[Scene]) -> Study:
    """Try every slip of every text of some scenes."""
    judged: list[Judged] = []
    not_valid: list[tuple[TrueText, str]] = []
    for scene in chosen:
        with tempfile.TemporaryDirectory() as folder, trial(scene, Path(folder)) as tried:
            for true in scene.texts:
                meant = tried.hears(true.sender, true.text)
                if not is_valid(true, meant):
                    not_valid.append((true, meant.broke or meant.reply))
                    continue
                heard: dict[str, Heard] = {}
                for slipped in slips_of(true.text):
                    if slipped.text not in heard:
                        heard[slipped.text] = tried.hears(true.sender, slipped.text)
                    judged.append(judge(scene.plan, true, meant, slipped, heard[slipped.text]))
    texts = tuple(true for scene in chosen for true in scene.texts)
    return Study(texts, tuple(judged), tuple(not_valid))


def main() -> int:
    """Run the study as the command line asks, print its report, and give the exit status."""
    parser = argparse.ArgumentParser(prog=COMMAND, description="Try every slip of every text.")
    parser.add_argument(
        "--texts", type=int, metavar="N", help="at most N texts, spread evenly; all by default"
    )
    parser.add_argument("--report", type=Path, metavar="FILE", help="write the report to a file as well")
    asked = parser.parse_args()
    done = study(scenes(asked.texts))
    command = COMMAND if asked.texts is None else f"{COMMAND} --texts {asked.texts}"
    said = f"{report(done.judged, done.texts, done.not_valid)}\nMade by: {command}\n"
    sys.stdout.write(said)
    if asked.report is not None:
        asked.report.write_text(said, encoding="utf-8")
    return 0 if done.holds else 1


if __name__ == "__main__":
    sys.exit(main())
