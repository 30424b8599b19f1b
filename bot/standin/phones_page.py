"""The page with the phones: pick one, type, see what comes back and how the fields fill up.

GET /            the page
GET /static/…    what it is made of; nothing is loaded from anywhere else
GET /board       the service's board, passed on: 404 where none was named, 502 where it cannot be had
"""

import httpx
from flask import Blueprint, Response, jsonify, render_template

ANSWER_WITHIN_S = 5.0
HEADERS = {
    # The page shows what anybody may have texted: nothing but our own files may act in it.
    "Content-Security-Policy": "default-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
}


class BoardUnreachable(Exception):  # noqa: N818  named for what happened
    """The service's board could not be had; its sentence says why."""


class Board:
    """The service's board at a URL; to be closed when the page is no longer served."""

    def __init__(self, url: str) -> None:
        self._url = url
        # The environment's proxies have no business between two processes of one machine.
        self._client = httpx.Client(timeout=ANSWER_WITHIN_S, trust_env=False)

    def ask(self) -> bytes:
        """Give the board as it is now, JSON as the service wrote it.

        Raises:
            BoardUnreachable: no answer, or one that is no board.
        """
        try:
            answer = self._client.get(self._url)
        except (httpx.HTTPError, RuntimeError) as error:
            # RuntimeError: the client was closed under a question that was under way.
            raise BoardUnreachable("the service does not answer") from error
        if not answer.is_success:
            raise BoardUnreachable(f"the service answers {answer.status_code}")
        if answer.headers.get("Content-Type", "").partition(";")[0] != "application/json":
            raise BoardUnreachable("the service answers with no board")
        return answer.content

    def close(self) -> None:
        """Let go of the connection to the service."""
        self._client.close()


def page_blueprint(board: Board | None = None) -> Blueprint:
    """Give the page; without a board it shows the phones alone."""
    page = Blueprint(
        "page", __name__, template_folder="templates", static_folder="static", static_url_path="/static"
    )

    @page.get("/")
    def phones() -> str:
        """The page itself."""
        return render_template("phones.html", with_board=board is not None)

    @page.get("/board")
    def fields() -> Response:
        """The service's board."""
        if board is None:
            return _wrong(404, "no board was named when the stand-in was started")
        try:
            return Response(board.ask(), mimetype="application/json", headers={"Cache-Control": "no-store"})
        except BoardUnreachable as error:
            return _wrong(502, str(error))

    @page.after_request
    def guarded(answer: Response) -> Response:
        answer.headers.update(HEADERS)
        return answer

    return page


def _wrong(status: int, sentence: str) -> Response:
    answer = jsonify({"error": sentence})
    answer.status_code = status
    return answer
