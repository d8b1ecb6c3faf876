"""The deliveries there are, by name."""

from knownlight.encode.avc_mp4 import AvcMp4
from knownlight.encode.delivery import Delivery
from knownlight.encode.hevc_mp4 import HevcMp4
from knownlight.errors import BadInput

DELIVERIES: dict[str, Delivery] = {delivery.name: delivery for delivery in (HevcMp4(), AvcMp4())}
DEFAULT = "hevc-mp4"


def delivery_named(name: str) -> Delivery:
    """The delivery of a name.

    Raises:
        BadInput: where there is none.
    """
    try:
        return DELIVERIES[name]
    except KeyError:
        raise BadInput(f"delivery {name!r} is not known; use one of {', '.join(DELIVERIES)}") from None
