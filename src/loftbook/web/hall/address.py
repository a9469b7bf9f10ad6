"""How devices in the hall reach the laptop: one stable name, the addresses beside it, the ports."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass

NAME = "loftbook.local"
#: Addresses that a laptop gives itself as a hotspot, so that the certificate fits before it is on.
#: Windows, NetworkManager on Linux, macOS internet sharing. From memory.
HOTSPOTS = ("192.168.137.1", "10.42.0.1", "192.168.2.1")


@dataclass(frozen=True)
class Hall:
    """Where the laptop listens in the hall, and the authority that its devices must trust."""

    addresses: tuple[str, ...]  # this machine's on private networks
    port: int = 8643  # https
    open_port: int = 8644  # plain http: the page /hello, and guests where they are allowed
    authority: bytes = b""  # the authority's certificate, DER
    name: str = NAME

    @property
    def hosts(self) -> tuple[str, ...]:
        """The names by which a browser in the hall may call it."""
        return (self.name, *dict.fromkeys((*self.addresses, *HOTSPOTS)))

    def origin(self, host: str | None = None, *, private: bool = True) -> str:
        """Where a device goes, by the stable name or by an address.

        >>> Hall(("192.168.1.7",)).origin(), Hall(()).origin("10.42.0.1", private=False)
        ('https://loftbook.local:8643', 'http://10.42.0.1:8644')
        """
        at = host or self.name
        return f"https://{at}:{self.port}" if private else f"http://{at}:{self.open_port}"


def private_addresses() -> tuple[str, ...]:
    """The machine's own IPv4 addresses on private networks, loopback left out."""
    import ifaddr

    found = [ip.ip for adapter in ifaddr.get_adapters() for ip in adapter.ips if isinstance(ip.ip, str)]
    return tuple(sorted({text for text in found if is_private(text)}))


def is_private(text: str) -> bool:
    """Whether that is an address that never leaves a hall's network (RFC 1918, RFC 3927).

    >>> is_private("192.168.1.7"), is_private("127.0.0.1"), is_private("203.0.113.5")
    (True, False, False)
    """
    address = ipaddress.ip_address(text)
    networks = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16")
    return any(address in ipaddress.ip_network(network) for network in networks)
