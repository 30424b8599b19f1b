"""The digest's page in a real browser, on narrow and wide screens, in light and in dark."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Literal

import pytest
from playwright.sync_api import Browser, ViewportSize, sync_playwright

from bot.digests import digest_letter, letter_html
from bot.field_book import FieldBook
from bot.replies import speech
from tests.talk import ZONE, talking

pytestmark = pytest.mark.browser

LEAST_CONTRAST = 4.5
"""WCAG 2.1, success criterion 1.4.3 (level AA)."""

FAINTEST = """() => {
  const channel = (v) => (v /= 255) <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
  const light = (colour) => {
    const [r, g, b] = colour.match(/[0-9.]+/g).slice(0, 3).map(Number).map(channel);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ground = (element) => {
    for (let one = element; one; one = one.parentElement) {
      const colour = getComputedStyle(one).backgroundColor;
      if (colour !== "rgba(0, 0, 0, 0)") return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const said = [...document.body.querySelectorAll("*")].filter(
    (one) => [...one.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim()));
  return Math.min(...said.map((one) => {
    const [a, b] = [light(getComputedStyle(one).color), light(ground(one))].sort((x, y) => y - x);
    return (a + 0.05) / (b + 0.05);
  }));
}"""
"""The least contrast of any words on the page, by the formula of WCAG 2.1 (relative luminance, contrast ratio)."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        yield running
        running.close()


@pytest.fixture(scope="module")
def page_of_the_day(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """The page of a day with something in every part, in both languages."""
    folder: Path = tmp_path_factory.mktemp("mail")
    with talking(folder) as talk:
        talk.says("luis", "08:00", "14 " + " / ".join(f"{number} LN3 FA1" for number in range(1, 11)))
        talk.says("ana", "09:00", "121 " + " / ".join(f"{number} LA1 LN2" for number in range(1, 11)))
        talk.says("ana", "10:00", "123 1 LN2 / 2 LN1")
        talk.says("ana", "10:30", "123 SHORT the turnrow is under water from the ditch to the pump and back")
        talk.says("luis", "11:30", "31 POSTED")
        with talk.store.read() as session:
            book = FieldBook(session, talk.hand.season, datetime(2027, 7, 6, 18, 30, tzinfo=ZONE))
            fields = tuple(book.season.fields.values())
            return {
                language: letter_html(digest_letter(book, speech(language), fields))
                for language in ("en", "es")
            }


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [320, 390, 1100])
@pytest.mark.parametrize("language", ["en", "es"])
def test_the_digest_reads_well_on_any_screen_and_asks_nobody_for_anything(
    browser: Browser,
    page_of_the_day: dict[str, str],
    language: str,
    width: int,
    scheme: Literal["light", "dark"],
) -> None:
    context = browser.new_context(viewport=ViewportSize(width=width, height=800), color_scheme=scheme)
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.set_content(page_of_the_day[language])
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate(FAINTEST) >= LEAST_CONTRAST
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert ground == {"light": "rgb(244, 244, 239)", "dark": "rgb(22, 24, 20)"}[scheme]
    assert asked == []
    context.close()
