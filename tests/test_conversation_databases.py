"""The same conversation on both databases: nothing of the road may hold on SQLite only."""

from bot.season_file import read_texts
from storage import Store
from tests.talk import SEASONS, Talk, to

OPAL, JUNE = "+12705550130", "+12705550120"


def test_a_day_of_texts_does_the_same_on_every_database(store: Store) -> None:
    talk = Talk(store, read_texts(SEASONS / "talk.toml"))
    assert talk.reply("luis", "09:00", "14 1 FA2 / 2 LN9 / 3 LN52").startswith("14 1 FA2 / 2 LN9.")
    assert (
        len(to(talk.says("luis", "09:01", "1"), "alert")) == 0
    )  # a count over the limit: it waits for a person
    alerts = dict(to(talk.says("luis", "09:02", "14 FIX 3 LN40"), "alert"))
    assert "ABOVE level 3" in alerts[OPAL]
    corrected = dict(to(talk.says("luis", "09:03", "14 FIX 3 0"), "alert"))
    assert corrected[OPAL].startswith("CORRECTED 14 Pump House, Jul 6: lygus is not final now")
    again = dict(to(talk.says("luis", "09:04", "14 UNDO"), "alert"))
    assert "ABOVE level 3" in again[OPAL]
    assert talk.samples(14) == {"1": "FA2", "2": "LN9", "3": "LN40"}
    assert "noted that you read it" in talk.reply("opal", "09:05", "OK")
    digest = to(talk.strikes("18:30"), "digest")
    assert JUNE in dict(digest)
    assert to(talk.strikes("18:31"), "digest") == []
