"""What a text does: heard in one transaction, answered once, its alerts put down with it."""

from bot.conversation.asking import lapse_old_questions
from bot.conversation.crossing import review_field
from bot.conversation.hearing import hear
from bot.conversation.holding import reasons_words
from bot.conversation.turn import Purpose, tell, tell_supervisors

__all__ = [
    "Purpose",
    "hear",
    "lapse_old_questions",
    "reasons_words",
    "review_field",
    "tell",
    "tell_supervisors",
]
