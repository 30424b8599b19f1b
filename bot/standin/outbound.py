"""The carrier's side of the standard: outbound requests and what became of them.

Source: GSMA SMS RESTful API (API v2, document 1.3). Any version in the path is answered, and nobody is
asked for a password.
"""

import time
from urllib.parse import quote

from flask import Blueprint, Response, jsonify, request

from bot.standin.carrier import DELIVERED, Carrier
from bot.standin.requests import Fault, bare_sender, parts_of_json, read_request
from bot.standin.weather import OutboundWeather, ReceiptWeather

REQUESTS = "/<version>/smsmessaging/outbound/<sender>/requests"
SLOW_S = 2.0
"""How late a slow answer is."""


def outbound_blueprint(carrier: Carrier) -> Blueprint:
    """Give the standard's outbound resources for this carrier."""
    blueprint = Blueprint(
        "outbound", __name__, url_prefix="/<version>/smsmessaging/outbound/<sender>/requests"
    )

    @blueprint.post("")
    def send(version: str, sender: str) -> Response:
        """201 with Location and resourceReference, or the standard's requestError."""
        weather = carrier.weather
        if weather.outbound is OutboundWeather.BUSY:
            return _refusal(Fault("SVC1000", http=503))
        if request.is_json:
            parts = parts_of_json(request.get_json(silent=True))
        else:
            parts = {name: list(values) for name, values in request.form.lists()}
        read = read_request(sender, parts)
        if isinstance(read, Fault):
            return _refusal(read)
        if read.receipt is not None and weather.receipts is ReceiptWeather.UNSUPPORTED:
            return _refusal(Fault("SVC0283"))
        request_id = carrier.deliver(read)
        if request_id is None:
            return _refusal(Fault("SVC0005", (read.correlator or "", "clientCorrelator"), http=409))
        return _accepted(_resource_url(version, sender, request_id), weather.outbound)

    @blueprint.get("/<request_id>/deliveryInfos")
    def delivery_infos(version: str, sender: str, request_id: str) -> Response:
        """The deliveryInfoList of a request, or 404."""
        found = carrier.request(bare_sender(sender), request_id)
        if found is None:
            return _refusal(Fault("SVC0002", ("requestId",), http=404))
        infos = [{"address": f"tel:{address}", "deliveryStatus": DELIVERED} for address in found.addresses]
        url = f"{_resource_url(version, sender, request_id)}/deliveryInfos"
        return jsonify({"deliveryInfoList": {"deliveryInfo": infos, "resourceURL": url}})

    return blueprint


def _resource_url(version: str, sender: str, request_id: str) -> str:
    path = f"{quote(version)}/smsmessaging/outbound/{quote(sender, safe='')}/requests/{request_id}"
    return f"{request.host_url}{path}"


def _accepted(url: str, weather: OutboundWeather) -> Response:
    answer = jsonify({"resourceReference": {"resourceURL": url}})
    answer.status_code = 201
    answer.headers["Location"] = url
    if weather is OutboundWeather.SLOW:
        time.sleep(SLOW_S)
    if weather is OutboundWeather.DROP:
        # The server closes a connection on which less came than was announced.
        whole = answer.get_data()
        answer.set_data(whole[: len(whole) // 2])
        answer.headers["Content-Length"] = str(len(whole))
    return answer


def _refusal(fault: Fault) -> Response:
    answer = jsonify(fault.as_json())
    answer.status_code = fault.http
    return answer
