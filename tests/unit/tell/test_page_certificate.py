"""The page's own certificate, as the standard library's TLS judges it."""

import socket
import ssl
import stat
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from ecdsa import NIST256p, SigningKey

from handsfree.errors import PageError
from handsfree.tell import page_certificate
from handsfree.tell.page_certificate import PAGE_DAYS, Certificate, kept_certificate

NAMES = ("192.168.1.20", "shopbox", "shopbox.local")
NOW = datetime.now(UTC)


def shakes_hands(certificate: Certificate, name: str, authority: bytes | None = None) -> bool:
    """Whether a client that trusts that authority takes the page for `name`."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(certificate.chain)
    client = ssl.create_default_context(
        cadata=ssl.DER_cert_to_PEM_cert(authority or certificate.authority)
    )
    client.verify_flags |= ssl.VERIFY_X509_STRICT
    ours, theirs = socket.socketpair()

    def serve() -> None:
        try:
            server.wrap_socket(theirs, server_side=True).close()
        except OSError:
            theirs.close()

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        client.wrap_socket(ours, server_hostname=name).close()
    except ssl.SSLCertVerificationError:
        return False
    finally:
        ours.close()
        thread.join()
    return True


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Certificate]:
    folder = tmp_path_factory.mktemp("certificate")
    return folder, kept_certificate(folder, NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_device_that_trusts_the_authority_takes_the_page(
    kept: tuple[Path, Certificate], name: str
) -> None:
    assert shakes_hands(kept[1], name)


@pytest.mark.parametrize("name", ["192.168.1.21", "example.org", "shopbox.example.org", "local"])
def test_the_page_is_taken_for_nothing_else(kept: tuple[Path, Certificate], name: str) -> None:
    assert not shakes_hands(kept[1], name)


def test_a_device_that_trusts_another_authority_refuses(
    kept: tuple[Path, Certificate], tmp_path: Path
) -> None:
    other = kept_certificate(tmp_path, NAMES)
    assert not shakes_hands(kept[1], NAMES[0], other.authority)


@pytest.mark.parametrize("name", ["example.org", "8.8.8.8", "192.0.2.7"])
def test_the_authority_can_vouch_for_no_site_of_the_wide_world(tmp_path: Path, name: str) -> None:
    kept_certificate(tmp_path, NAMES)
    signer, own = page_certificate._authority(tmp_path / "authority.pem", NAMES, NOW)
    key = SigningKey.generate(curve=NIST256p)
    forged = page_certificate._certificate(
        "x", key, "Helper on this machine", signer, NOW, 9,
        page_certificate._page_extensions([name], key, signer),
    )  # fmt: skip
    chain = tmp_path / "forged.pem"
    parts = [page_certificate._pem(forged), page_certificate._pem(own)]
    chain.write_text("".join(parts) + key.to_pem(format="pkcs8").decode())
    assert not shakes_hands(Certificate(chain, own, ""), name)


def test_the_same_certificate_is_kept_so_that_a_phone_asks_once(
    kept: tuple[Path, Certificate],
) -> None:
    folder, first = kept
    before = first.chain.read_bytes()
    assert kept_certificate(folder, NAMES) == first
    assert first.chain.read_bytes() == before


def test_a_new_address_and_a_late_date_renew_the_page_and_not_the_authority(
    tmp_path: Path,
) -> None:
    first = kept_certificate(tmp_path, NAMES)
    moved = kept_certificate(tmp_path, ("10.0.0.7", *NAMES[1:]))
    assert moved.authority == first.authority
    assert shakes_hands(moved, "10.0.0.7")
    before = moved.chain.read_bytes()
    later = NOW + timedelta(days=PAGE_DAYS - 5)
    renewed = kept_certificate(tmp_path, ("10.0.0.7", *NAMES[1:]), later)
    assert renewed.authority == first.authority
    assert renewed.chain.read_bytes() != before


def test_a_new_name_of_the_machine_makes_a_new_authority_that_may_sign_for_it(
    tmp_path: Path,
) -> None:
    first = kept_certificate(tmp_path, NAMES)
    renamed = kept_certificate(tmp_path, ("192.168.1.20", "torchbox", "torchbox.local"))
    assert renamed.authority != first.authority
    assert shakes_hands(renamed, "torchbox")


def test_keys_are_for_this_user_alone(kept: tuple[Path, Certificate]) -> None:
    for file in kept[0].iterdir():
        assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_a_changed_file_and_a_blocked_folder_are_told(tmp_path: Path) -> None:
    certificate = kept_certificate(tmp_path, NAMES)
    certificate.chain.write_text("no certificate")
    with pytest.raises(PageError, match=r"page\.pem was changed.*Remove it"):
        kept_certificate(tmp_path, NAMES)
    with pytest.raises(PageError, match="cannot be kept"):
        kept_certificate(certificate.chain / "folder", NAMES)
