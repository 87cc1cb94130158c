"""Where this machine stands on a network, and which addresses are of private networks."""

import ipaddress
import socket

from handsfree.errors import PageError

PRIVATE_NETWORKS = tuple(
    ipaddress.ip_network(network)
    for network in (
        "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8",
        "fc00::/7", "fe80::/10", "::1/128",
    )
)  # fmt: skip


def is_private(address: str) -> bool:
    """Whether an address is of a private network or of this machine.

    >>> is_private("192.168.1.20"), is_private("8.8.8.8")
    (True, False)

    Raises:
        ValueError: it is no address.
    """
    parsed = ipaddress.ip_address(address)
    return any(parsed in network for network in PRIVATE_NETWORKS)


def is_address(name: str) -> bool:
    """Whether it is an address and no host name."""
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def is_loopback(address: str) -> bool:
    """Whether it is this machine talking to itself; what is no address is not.

    >>> is_loopback("127.0.0.1"), is_loopback("192.168.1.20"), is_loopback("testclient")
    (True, False, False)
    """
    return is_address(address) and ipaddress.ip_address(address).is_loopback


def network_address() -> str:
    """This machine's address on its network.

    Raises:
        PageError: it has none.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # sends nothing: it only asks which way out there is
            return str(probe.getsockname()[0])
        except OSError as fault:
            raise PageError(
                "This machine is on no network. Connect it, or name its address behind --share."
            ) from fault


def host_name() -> str:
    """This machine's name where it can stand in an address, else nothing."""
    name = socket.gethostname().split(".")[0].lower()
    plain = name.replace("-", "")
    return name if plain.isascii() and plain.isalnum() and len(name) < 60 else ""
