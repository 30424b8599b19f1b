"""Gateways: texts out to phones and texts in from them, over the OMA/GSMA REST interface.

The only room of the service that speaks HTTP outwards. `OmaGateway` sends; `read_inbound` and
`read_delivery` read what the gateway posts to our hook, and do no I/O.
"""

from bot.gateways.errors import (
    GatewayError,
    GatewayRefused,
    GatewaySuspended,
    GatewayUnreachable,
    MalformedNotice,
    NumberRefused,
)
from bot.gateways.gateway import Accepted, Gateway, Outgoing
from bot.gateways.notices import DeliveryNotice, DeliveryStatus, Inbound, read_delivery, read_inbound
from bot.gateways.oma import OmaGateway, OmaSettings

__all__ = [
    "Accepted",
    "DeliveryNotice",
    "DeliveryStatus",
    "Gateway",
    "GatewayError",
    "GatewayRefused",
    "GatewaySuspended",
    "GatewayUnreachable",
    "Inbound",
    "MalformedNotice",
    "NumberRefused",
    "OmaGateway",
    "OmaSettings",
    "Outgoing",
    "read_delivery",
    "read_inbound",
]
