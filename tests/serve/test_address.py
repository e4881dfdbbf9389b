"""What the grower is told: three forms of each address, a code a phone can read, and what cannot reach it."""

from __future__ import annotations

from pathlib import Path

import pytest
from calgen.serve.address import Address, own_host, qr_lines, told

SECRET = "AAAAAAAAAAAAAAAAAAAAAA"


def address(host: str = "192.168.7.20", folder: Path = Path("output/tern-hill")) -> Address:
    return Address("tern-hill", host, 8642, SECRET, folder)


def test_three_forms_of_the_address() -> None:
    found = address()
    assert found.page == f"http://192.168.7.20:8642/{SECRET}/"
    assert found.feed == f"http://192.168.7.20:8642/{SECRET}/feeds/all.ics"
    assert found.webcal == f"webcal://192.168.7.20:8642/{SECRET}/feeds/all.ics"
    assert found.download == f"http://192.168.7.20:8642/{SECRET}/feeds/import.ics?download"


@pytest.mark.parametrize(("host", "written"), [
    ("::1", "[::1]"), ("fd00::7", "[fd00::7]"), ("shed.local", "shed.local")])
def test_hosts_are_written_as_addresses_want_them(host: str, written: str) -> None:
    """RFC 3986 section 3.2.2: an IPv6 address stands in brackets."""
    assert address(host).page == f"http://{written}:8642/{SECRET}/"


def test_in_the_network_everything_is_told(tmp_path: Path) -> None:
    (tmp_path / "feeds").mkdir()
    for name in ("all", "import", "sow", "mulch", "birthdays"):
        (tmp_path / f"feeds/{name}.ics").write_bytes(b"")
    lines = list(told([address(folder=tmp_path)], lan=True, qr=True, colour=False))
    text = "\n".join(lines)
    for form in (address().page, address().feed, address().webcal, address().download):
        assert form in text
    assert "  one kind of job: instead of all.ics, sow.ics, mulch.ics" in lines
    for unreachable in ("Google Calendar", "Outlook on the web", "Nextcloud"):
        assert unreachable in text
    assert f"put the folder {tmp_path} on any web host" in text
    assert "delete that and import again" in text
    assert "Only devices in your own network" in text
    assert "█" in text


def test_on_this_computer_alone_no_code_is_shown_but_the_way_to_a_phone() -> None:
    text = "\n".join(told([address("127.0.0.1")], lan=False, qr=True, colour=False))
    assert "█" not in text
    assert "start with --lan" in text
    assert all(len(line) <= 120 for line in text.splitlines())


def test_several_sites_name_the_folder_by_its_pattern() -> None:
    two = [address(), Address("elm-hill", "127.0.0.1", 8642, "B" * 22, Path("output/elm-hill"))]
    text = "\n".join(told(two, lan=False, qr=False, colour=False))
    assert f"put the folder {Path('output/SITE')} on any web host" in text


def test_own_host_is_a_host() -> None:
    assert own_host()


@pytest.mark.interop
@pytest.mark.parametrize("colour", [False, True])
def test_a_reader_of_codes_reads_the_address_off_the_terminal(colour: bool) -> None:
    """Painted from the printed characters, and read by a library that has nothing to do with the one that made it."""
    import os

    try:
        import zxingcpp
    except ImportError:
        if os.environ.get("CI"):
            pytest.fail("zxing-cpp is not installed (see .ci/interop-packages)")
        pytest.skip("zxing-cpp is not installed (see .ci/interop-packages)")
    from PIL import Image

    lines = qr_lines(address().webcal, colour)
    if colour:
        assert all(line.startswith("\x1b[97;40m") and line.endswith("\x1b[0m") for line in lines)
        lines = [line.removeprefix("\x1b[97;40m").removesuffix("\x1b[0m") for line in lines]
    assert set("".join(lines)) <= set(" ▀▄█")
    side = 6
    image = Image.new("L", (len(lines[0]) * side, len(lines) * 2 * side), 0)
    for row, line in enumerate(lines):
        for column, sign in enumerate(line):
            for half, light in ((0, sign in "▀█"), (1, sign in "▄█")):
                if light:
                    corner = (column * side, (2 * row + half) * side)
                    image.paste(255, (*corner, corner[0] + side, corner[1] + side))
    (code,) = zxingcpp.read_barcodes(image)
    assert code.text == address().webcal
