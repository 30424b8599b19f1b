"""The page with the phones in a real browser, before the real service and the real stand-in carrier."""

import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime

import httpx
import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, ViewportSize, expect, sync_playwright

from bot.demo.stage import Stage, set_up
from tests.standin_process import ROOT, own_carrier

SEASON = ROOT / "fixtures" / "seasons" / "larkspur.toml"
BEGINS = datetime(2027, 7, 6, 14, 0, tzinfo=UTC)
ANA, LUIS, BETO, JUNE = "+12705550111", "+12705550112", "+12705550115", "+12705550120"
"""Ana's phone is set to Spanish, the others to English."""

WIDE = ViewportSize(width=1280, height=800)
NARROW = ViewportSize(width=380, height=800)
PATIENCE_MS = 10_000
MARKUP = "<script>document.title='taken'</script><img src=x onerror=\"document.title='taken'\">"


class Watched:
    """A page, and what it asked for and complained of."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.complaints: list[str] = []
        self.asked: list[str] = []
        page.set_default_timeout(PATIENCE_MS)
        page.on("console", self._hear)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("request", self._note)

    def _hear(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            self.complaints.append(message.text)

    def _note(self, request: Request) -> None:
        self.asked.append(request.url)

    def asked_for(self, path: str) -> int:
        """Give how often a path was asked for."""
        return sum(httpx.URL(url).path == path for url in self.asked)

    def pick(self, phone: str) -> None:
        self.page.locator(f'[data-phone="{phone}"]').click()

    def send(self, words: str) -> None:
        self.page.locator("#text").fill(words)
        self.page.locator("#send").click()


@pytest.fixture(scope="module")
def stage() -> Iterator[Stage]:
    with set_up(BEGINS, SEASON) as running:
        yield running


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        yield running
        running.close()


@pytest.fixture
def watched(browser: Browser, stage: Stage) -> Iterator[Watched]:
    """The page as a first visitor sees it; it may neither complain nor ask anybody but this machine."""
    context = browser.new_context(viewport=WIDE)
    seen = Watched(context.new_page())
    seen.page.goto(stage.carrier_url)
    expect(seen.page.locator('[data-site="121"]')).to_be_visible(timeout=PATIENCE_MS)
    yield seen
    context.close()
    assert seen.complaints == []
    assert {httpx.URL(url).host for url in seen.asked} == {"127.0.0.1"}


@pytest.mark.browser
def test_a_report_from_a_spanish_phone_comes_back_and_fills_its_square(watched: Watched) -> None:
    page = watched.page
    watched.pick(ANA)
    expect(page.locator("#send")).to_have_text("Enviar")
    expect(page.locator("#clear")).to_have_text("Borrar")
    square = page.locator('[data-site="121"] [data-sample="1"]')
    expect(square).to_have_class(re.compile(r"\bout\b"))
    watched.send("121 1 FA2 LN1")
    echo = page.locator(".bubble.theirs").last
    expect(echo).to_contain_text("121 1 FA2 LN1", timeout=PATIENCE_MS)
    expect(echo).to_have_attribute("lang", "es")
    expect(page.locator(".bubble.mine").last).to_contain_text("enviado", timeout=PATIENCE_MS)
    expect(square).to_have_class(re.compile(r"\bin\b"), timeout=PATIENCE_MS)
    expect(square).to_contain_text("FA 2, FN 0, LA 0, LN 1, MP 0")
    row = page.locator('[data-site="121"]')
    expect(row).to_contain_text("1 of 10 in")
    # One plant bug on 3 row ft is 1.67 on 5, under the level of 3.
    expect(row).to_contain_text("1.67 per 5 row ft")
    expect(row).to_contain_text("BELOW SO FAR")


@pytest.mark.browser
def test_markup_in_a_text_is_shown_as_text_and_does_nothing(watched: Watched) -> None:
    page = watched.page
    title = page.title()
    watched.pick(BETO)
    watched.send(f"165 SKIP {MARKUP}")
    expect(page.locator(".bubble.mine p").last).to_have_text(f"165 SKIP {MARKUP}", timeout=PATIENCE_MS)
    expect(page.locator('[data-site="165"]')).to_contain_text("skipped: <script>", timeout=PATIENCE_MS)
    expect(page.locator(".bubble.theirs").last).to_be_visible(timeout=PATIENCE_MS)
    assert page.locator("main script, main img, .fields script, .fields img").count() == 0
    assert page.title() == title


@pytest.mark.browser
def test_the_page_can_be_used_by_keyboard_alone(watched: Watched) -> None:
    page = watched.page
    page.locator(f'[data-phone="{LUIS}"]').focus()
    page.keyboard.press("Enter")
    expect(page.locator(f'[data-phone="{LUIS}"]')).to_be_focused()
    for _ in range(20):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "text":
            break
    page.keyboard.type("14 1 LA1")
    page.keyboard.press("Enter")
    expect(page.locator(".bubble.theirs").last).to_contain_text("14 1 LA1", timeout=PATIENCE_MS)
    expect(page.locator("#text")).to_have_value("")
    expect(page.locator("#text")).to_be_focused()


@pytest.mark.browser
def test_twelve_keys_write_figures_and_letters(watched: Watched) -> None:
    page = watched.page
    watched.pick(JUNE)
    keys = page.locator("#keys button")
    # 1 to 9, then * 0 #: the star changes between figures and letters, # is a blank (letters: ITU-T E.161).
    places = {**{str(digit): digit - 1 for digit in range(1, 10)}, "*": 9, "0": 10, "#": 11}
    for key in "121#1#*3332*2":
        keys.nth(places[key]).click()
    expect(page.locator("#text")).to_have_value("121 1 FA2")
    expect(page.locator("#count")).to_have_text("9/160 characters")
    for _ in range(3):
        page.locator("#clear").click()
    expect(page.locator("#text")).to_have_value("121 1 ")


@pytest.mark.browser
def test_a_long_text_says_how_many_texts_it_is(watched: Watched) -> None:
    watched.pick(JUNE)
    watched.page.locator("#text").fill("x" * 161)
    # Joined texts carry 153 characters each (3GPP TS 23.040, 9.2.3.24.1).
    expect(watched.page.locator("#count")).to_have_text("161 characters, 2 texts")


@pytest.mark.browser
def test_what_to_try_follows_how_the_sites_stand(watched: Watched, stage: Stage) -> None:
    watched.pick(ANA)
    site = next(
        one
        for field in stage.board()["fields"]
        for one in field["sites"]
        if one["samples_in"] < one["samples_planned"]
    )
    watched.page.locator("#examples button").last.click()
    expect(watched.page.locator("#text")).to_have_value(str(site["site"]))
    first = watched.page.locator("#examples button").first
    numbers = {int(number) for number in site["samples"]}
    expected = min(set(range(1, 11)) - numbers)
    expect(first).to_have_text(re.compile(rf"^{site['site']} {expected} [A-Z]{{2}}2$"))


@pytest.mark.browser
def test_a_phone_that_is_not_shown_says_how_many_texts_came(watched: Watched, stage: Stage) -> None:
    watched.pick(ANA)
    row = watched.page.locator(f'[data-phone="{JUNE}"]')
    before = len(stage.conversation(JUNE))
    stage.press(JUNE, "121", BEGINS)
    expect(row).to_contain_text(re.compile(r"\d new"), timeout=PATIENCE_MS)
    assert len(stage.conversation(JUNE)) > before
    watched.pick(JUNE)
    expect(row).not_to_contain_text("new")


@pytest.mark.browser
def test_a_page_that_nobody_sees_asks_nothing(watched: Watched) -> None:
    page = watched.page
    page.evaluate("Object.defineProperty(document, 'hidden', { get: () => true, configurable: true })")
    page.wait_for_timeout(1_500)  # whatever was under way ends
    asked = len(watched.asked)
    page.wait_for_timeout(2_500)
    assert len(watched.asked) == asked
    page.evaluate("delete document.hidden; document.dispatchEvent(new Event('visibilitychange'))")
    page.wait_for_timeout(2_500)
    assert len(watched.asked) >= asked + 4


@pytest.mark.browser
def test_on_a_narrow_screen_nothing_sticks_out_and_the_phone_comes_first(watched: Watched) -> None:
    page = watched.page
    page.set_viewport_size(NARROW)
    assert page.evaluate("document.documentElement.scrollWidth") == NARROW["width"]
    phone, fields = page.locator("#phone").bounding_box(), page.locator(".fields").bounding_box()
    assert phone is not None
    assert fields is not None
    assert phone["y"] + phone["height"] <= fields["y"]
    assert phone["x"] + phone["width"] <= NARROW["width"]


@pytest.mark.browser
def test_without_a_board_the_page_has_the_phones_alone(browser: Browser) -> None:
    with own_carrier("http://127.0.0.1:9/nobody") as carrier:
        context = browser.new_context(viewport=WIDE)
        seen = Watched(context.new_page())
        seen.page.goto(carrier.url)
        expect(seen.page.locator("#owner")).to_have_text("Somebody else", timeout=PATIENCE_MS)
        expect(seen.page.locator(".fields")).to_be_hidden()
        carrier.text(LUIS, "14 1 LA1")
        expect(seen.page.locator(f'[data-phone="{LUIS}"]')).to_be_visible(timeout=PATIENCE_MS)
        assert seen.asked_for("/board") == 0
        context.close()
    assert seen.complaints == []


def test_the_page_lets_nothing_from_elsewhere_act() -> None:
    with own_carrier("http://127.0.0.1:9/nobody") as carrier:
        page = carrier.http.get("/")
        static = carrier.http.get("/static/phones.js")
    assert page.headers["Content-Type"] == "text/html; charset=utf-8"
    assert page.headers["Content-Security-Policy"].startswith("default-src 'self';")
    assert static.headers["Content-Type"].startswith("text/javascript")
    assert static.headers["X-Content-Type-Options"] == "nosniff"
    assert "<script>" not in page.text
    assert "style=" not in page.text


def test_the_board_is_passed_on_as_the_service_says_it(stage: Stage) -> None:
    passed_on = stage.http.get(f"{stage.carrier_url}/board")
    assert passed_on.headers["Content-Type"] == "application/json"
    assert passed_on.json().keys() == stage.board().keys()


@pytest.mark.parametrize(
    ("options", "status"),
    [
        ((), 404),
        (("--board", "http://127.0.0.1:9/demo/board"), 502),
        (("--board", "{service}/demo/nothing"), 502),
    ],
    ids=["none was named", "nobody answers", "the answer is no board"],
)
def test_a_board_that_cannot_be_had_is_said_shortly(
    stage: Stage, options: tuple[str, ...], status: int
) -> None:
    told = [option.replace("{service}", stage.service_url) for option in options]
    with own_carrier("http://127.0.0.1:9/nobody", *told) as carrier:
        answer = carrier.http.get("/board")
    assert answer.status_code == status
    assert list(answer.json()) == ["error"]


def test_a_board_elsewhere_is_refused() -> None:
    command = [sys.executable, "-m", "bot.standin", "--notify-url", "http://127.0.0.1:9/in"]
    ran = subprocess.run(
        [*command, "--board", "http://rowfoot.example/demo/board"], cwd=ROOT, capture_output=True, check=False
    )
    assert ran.returncode == 2
    assert b"--board" in ran.stderr
