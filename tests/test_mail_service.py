"""Mail as the service sends it, with a real process, a real mail server and the clock set to the evening."""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from click.testing import CliRunner

from bot.__main__ import main
from bot.app import build_service, post_of
from bot.mailing import MailServer
from bot.settings import Settings, SettingsError, read_settings, tell_clock
from tests.conftest import LARKSPUR, PATIENCE_S, ROOT
from tests.mail_server_thread import mail_server
from tests.standin_process import eventually

EVENING = datetime(2027, 7, 6, 18, 29, 59, tzinfo=ZoneInfo("America/Chicago"))
FROM = "Larkspur cotton <digest@larkspur.example>"


@pytest.fixture
def env(tmp_path: Path) -> dict[str, str]:
    """What the service is told: a season in which June has an address, and a clock shortly before the day ends."""
    tell_clock(tmp_path / "clock.json", EVENING)
    told = {key: value for key, value in os.environ.items() if not key.startswith("ROWFOOT_")} | {
        "ROWFOOT_DATABASE": f"sqlite:///{tmp_path / 'rowfoot.db'}",
        "ROWFOOT_LISTEN": "127.0.0.1:0",
        "ROWFOOT_HOOK_SECRET": "cotton-0123456789-secret",
        "ROWFOOT_CLOCK": str(tmp_path / "clock.json"),
    }
    text = LARKSPUR.read_text(encoding="utf-8")
    june = 'name = "June Abbot"\n'
    assert june in text
    season = tmp_path / "season.toml"
    season.write_text(text.replace(june, f'{june}email = "june@larkspur.example"\n'), encoding="utf-8")
    loaded = CliRunner(env=told).invoke(main, ["load", str(season)])
    assert loaded.exit_code == 0, loaded.output
    return told


@contextmanager
def serving(env: dict[str, str]) -> Iterator[None]:
    process = subprocess.Popen(
        [sys.executable, "-m", "bot", "serve"],
        cwd=ROOT,
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        assert process.stdout.readline().startswith("rowfoot at")
        yield
    finally:
        process.terminate()
        try:
            ended = process.communicate(timeout=PATIENCE_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.communicate()
            raise
    assert (process.returncode, ended) == (0, ("", ""))


def test_the_service_mails_the_digest_once_even_over_a_restart(env: dict[str, str]) -> None:
    with mail_server() as server:
        told = {**env, "ROWFOOT_SMTP_URL": server.url, "ROWFOOT_MAIL_FROM": FROM}
        with serving(told):
            eventually(lambda: server.box.taken)
        with serving(told):
            told_again = CliRunner(env=told).invoke(main, ["round", "--json"])
            assert told_again.exit_code == 0, told_again.output
            assert "larkspur.example" not in told_again.output
        ((sender, recipients, _),) = server.box.taken
        (message,) = server.box.messages()
    assert (sender, recipients) == ("digest@larkspur.example", ["june@larkspur.example"])
    assert message["From"] == FROM
    assert message["Subject"] == "Larkspur County cotton 2027: Tue Jul 6"


def test_addresses_without_a_mail_server_are_named_in_the_log(
    env: dict[str, str], caplog: pytest.LogCaptureFixture
) -> None:
    build_service(read_settings(env)).close()
    assert "without ROWFOOT_SMTP_URL no mail is sent" in caplog.text
    caplog.clear()
    told = {**env, "ROWFOOT_SMTP_URL": "smtp://127.0.0.1", "ROWFOOT_MAIL_FROM": FROM}
    build_service(read_settings(told)).close()
    assert caplog.text == ""


# What it refuses to start with


def test_a_mail_server_wants_an_address_that_mail_is_from() -> None:
    with pytest.raises(SettingsError, match="ROWFOOT_MAIL_FROM is missing"):
        read_settings({"ROWFOOT_SMTP_URL": "smtp://127.0.0.1"})


def test_what_is_no_mail_server_is_named_without_its_password() -> None:
    with pytest.raises(SettingsError, match="ROWFOOT_SMTP_URL") as raised:
        post_of(Settings(mail_server="smtp://u:secret@:x", mail_from=FROM))
    assert "secret" not in str(raised.value)


def test_without_a_mail_server_nothing_is_mailed() -> None:
    assert post_of(read_settings({})) is None
    assert post_of(read_settings({"ROWFOOT_MAIL_FROM": FROM})) is None
    told = {"ROWFOOT_SMTP_URL": "smtp://127.0.0.1", "ROWFOOT_MAIL_FROM": FROM}
    assert isinstance(post_of(read_settings(told)), MailServer)
