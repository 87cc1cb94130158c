"""The page's own certificate, as the standard library's TLS and a parser judge it."""

import ipaddress
import shutil
import socket
import ssl
import stat
import subprocess
import sys
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID

from handsfree.errors import PageError
from handsfree.page import certificate as page_certificate
from handsfree.page.certificate import (
    AUTHORITY_DAYS,
    PAGE_DAYS,
    Certificate,
    kept_certificate,
)

NAMES = ("192.168.1.20", "shopbox", "shopbox.local")
NOW = datetime.now(UTC)
OLDER = Path(__file__).parent / "older_certificate"  # as helpers kept it that wrote DER themselves
OLDER_MADE = datetime(2026, 12, 1, 4, tzinfo=UTC)


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
    authority = page_certificate._authority(tmp_path / "authority.pem", NAMES, NOW)
    chain = tmp_path / "forged.pem"
    page_certificate._keep(chain, page_certificate._page(authority, [name], NOW))
    own = authority.own.public_bytes(serialization.Encoding.DER)
    assert not shakes_hands(Certificate(chain, own, ""), name)


def test_the_certificates_say_what_they_are_for_and_how_long(tmp_path: Path) -> None:
    made = kept_certificate(tmp_path, NAMES, NOW)
    page, vouching = x509.load_pem_x509_certificates(made.chain.read_bytes())
    authority = x509.load_der_x509_certificate(made.authority)
    assert vouching == authority
    page.verify_directly_issued_by(authority)
    authority.verify_directly_issued_by(authority)
    found = {
        each: {entry.oid._name: (entry.critical, entry.value) for entry in each.extensions}
        for each in (page, authority)
    }
    listed = [x509.IPAddress(ipaddress.ip_address(NAMES[0])), *map(x509.DNSName, NAMES[1:])]
    assert found[page]["subjectAltName"] == (False, x509.SubjectAlternativeName(listed))
    assert found[page]["basicConstraints"] == (True, x509.BasicConstraints(False, None))
    assert found[authority]["basicConstraints"] == (True, x509.BasicConstraints(True, 0))
    assert found[authority]["nameConstraints"][0] is True
    assert found[page]["extendedKeyUsage"][1] == x509.ExtendedKeyUsage(
        [ExtendedKeyUsageOID.SERVER_AUTH]
    )
    for each, days, signs in ((page, PAGE_DAYS, False), (authority, AUTHORITY_DAYS, True)):
        key = each.public_key()
        assert isinstance(key, ec.EllipticCurvePublicKey)
        assert key.curve.name == "secp256r1"
        usage = found[each]["keyUsage"][1]
        assert isinstance(usage, x509.KeyUsage)
        assert (usage.key_cert_sign, usage.digital_signature) == (signs, not signs)
        begins, ends = each.not_valid_before_utc, each.not_valid_after_utc
        assert begins < NOW - timedelta(hours=23)
        assert abs(ends - NOW - timedelta(days=days)) < timedelta(seconds=2)
    assert page.serial_number != authority.serial_number


def test_each_page_has_a_key_of_its_own(tmp_path: Path) -> None:
    texts = []
    for folder in ("one", "other"):
        made = kept_certificate(tmp_path / folder, NAMES)
        texts += [made.chain.read_text(), (tmp_path / folder / "authority.pem").read_text()]
    keys = {text[text.index("-----BEGIN PRIVATE") :] for text in texts}
    assert len(keys) == 4


def test_what_an_earlier_helper_kept_goes_on_working(tmp_path: Path) -> None:
    folder = tmp_path / "kept"
    shutil.copytree(OLDER, folder)
    before = (folder / "page.pem").read_bytes(), (folder / "authority.pem").read_bytes()
    kept = kept_certificate(folder, NAMES, OLDER_MADE)
    assert (kept.chain.read_bytes(), (folder / "authority.pem").read_bytes()) == before
    assert kept.authority == ssl.PEM_cert_to_DER_cert(
        "-----BEGIN" + before[1].decode().split("-----BEGIN")[1]
    )
    moved = kept_certificate(folder, ("10.0.0.7", *NAMES[1:]))  # signed with the key of before
    assert moved.authority == kept.authority
    assert shakes_hands(moved, "10.0.0.7")


def test_the_library_is_loaded_for_https_alone() -> None:
    """It takes a tenth of a second, and most users share nothing."""
    shown = subprocess.run(
        [
            sys.executable, "-c",
            "import sys, handsfree.page.server, handsfree.page.share\n"
            "print('cryptography' in sys.modules)",
        ],
        capture_output=True, text=True, check=True, timeout=60,
    )  # fmt: skip
    assert shown.stdout.strip() == "False"


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


@pytest.mark.parametrize("name", ["page.pem", "authority.pem"])
@pytest.mark.parametrize("change", ["none", "no key", "another key", "the other file", "cut"])
def test_no_changed_file_is_used(tmp_path: Path, name: str, change: str) -> None:
    kept_certificate(tmp_path, NAMES)
    kept_certificate(tmp_path / "other", NAMES)
    file = tmp_path / name
    text = file.read_text()
    at = text.index("-----BEGIN PRIVATE")
    other = (tmp_path / "other" / name).read_text()
    twin = next(each for each in tmp_path.glob("*.pem") if each.name != name)
    file.write_text(
        {
            "none": "",
            "no key": text[:at],
            "another key": text[:at] + other[other.index("-----BEGIN PRIVATE") :],
            "the other file": twin.read_text(),
            "cut": text[: at + 60],
        }[change]
    )
    with pytest.raises(PageError, match="changed and cannot be used. Remove"):
        kept_certificate(tmp_path, NAMES)


def test_a_changed_file_and_a_blocked_folder_are_told(tmp_path: Path) -> None:
    certificate = kept_certificate(tmp_path, NAMES)
    certificate.chain.write_text("no certificate")
    with pytest.raises(PageError, match=r"page\.pem was changed.*Remove it"):
        kept_certificate(tmp_path, NAMES)
    with pytest.raises(PageError, match="cannot be kept"):
        kept_certificate(certificate.chain / "folder", NAMES)
