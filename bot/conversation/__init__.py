"""What a text does: heard in one transaction, answered once, its alerts put down with it."""

from bot.conversation.asking import lapse_old_questions
from bot.conversation.clock_back import tell_clock_back
from bot.conversation.crossing import review_field
from bot.conversation.following import follow_season
from bot.conversation.handing_over import settle_hand_overs
from bot.conversation.hearing import hear
from bot.conversation.holding import reasons_words
from bot.conversation.hours_over import tell_hours_over
from bot.conversation.planning import plan_of_day
from bot.conversation.promoting import NotAccepted, Promoted, accept
from bot.conversation.silence import tell_silent
from bot.conversation.telling import report_tells
from bot.conversation.telling_out import call_for_oks
from bot.conversation.turn import Purpose, speech_of, tell, tell_supervisors
from bot.conversation.weather import tell_heat

__all__ = [
    "NotAccepted",
    "Promoted",
    "Purpose",
    "accept",
    "call_for_oks",
    "follow_season",
    "hear",
    "lapse_old_questions",
    "plan_of_day",
    "reasons_words",
    "report_tells",
    "review_field",
    "settle_hand_overs",
    "speech_of",
    "tell",
    "tell_clock_back",
    "tell_heat",
    "tell_hours_over",
    "tell_silent",
    "tell_supervisors",
]
