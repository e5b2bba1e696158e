"""Whatever a phone, a scanner or a prankster sends is opened upright, or refused in one sentence."""

import io
import subprocess
import sys
import textwrap
import zlib
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from floatbowl.photo.opening import MOST_PIXELS, PhotographError, open_photograph, stripped

#: Left half dark, right half bright, a red spot at the top left: turned pictures cannot be mistaken.
PIXELS = np.full((60, 80, 3), 40, dtype=np.uint8)
PIXELS[:, 40:] = 200
PIXELS[:15, :15] = (220, 20, 20)


def saved(kind: str, pixels=PIXELS, **options) -> bytes:
    out = io.BytesIO()
    picture = pixels if isinstance(pixels, Image.Image) else Image.fromarray(pixels)
    picture.save(out, kind, **options)
    return out.getvalue()


def near(one, two) -> bool:
    """Alike but for what JPEG loses."""
    return one.shape == two.shape and float(np.abs(one.astype(int) - two.astype(int)).mean()) < 4


def refused(data: bytes) -> str:
    with pytest.raises(PhotographError) as caught:
        open_photograph(data, "r1.jpg")
    says = str(caught.value)
    assert "r1.jpg" in says
    assert "\n" not in says
    return says


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF", "BMP", "AVIF"])
def test_usual_files_are_opened(kind: str) -> None:
    assert near(
        open_photograph(saved(kind, **({"quality": 95} if kind in ("JPEG", "WEBP", "AVIF") else {})), "p").pixels,
        PIXELS,
    )


def test_a_phones_heic_is_opened() -> None:
    heic = io.BytesIO()
    pillow_heif.from_pillow(Image.fromarray(PIXELS)).save(heic, quality=95)
    assert near(open_photograph(heic.getvalue(), "p.heic").pixels, PIXELS)


@pytest.mark.parametrize("turn", range(1, 9))
def test_each_exif_rotation_is_turned_upright(turn: int) -> None:
    inverse = {1: None, 2: 0, 3: 3, 4: 1, 5: 5, 6: 2, 7: 6, 8: 4}[turn]  # PIL's transpositions that undo it
    stored = Image.fromarray(PIXELS)
    if inverse is not None:
        stored = stored.transpose(Image.Transpose(inverse))
    exif = Image.Exif()
    exif[0x0112] = turn
    assert near(open_photograph(saved("JPEG", stored, exif=exif, quality=95), "p").pixels, PIXELS)


@pytest.mark.parametrize("turn", [0, 9, 77])
def test_an_exif_rotation_that_makes_no_sense_is_left_aside(turn: int) -> None:
    exif = Image.Exif()
    exif[0x0112] = turn
    assert near(open_photograph(saved("JPEG", exif=exif, quality=95), "p").pixels, PIXELS)


def test_damaged_camera_data_does_not_cost_the_picture() -> None:
    assert near(
        open_photograph(saved("JPEG", exif=b"Exif\x00\x00MM\x00*\xff\xff\xff\xff", quality=95), "p").pixels, PIXELS
    )


def test_greyscale_and_two_tone_become_colour() -> None:
    grey = PIXELS[..., 1]
    assert near(open_photograph(saved("PNG", grey), "p").pixels, np.repeat(grey[..., None], 3, 2))
    assert open_photograph(saved("PNG", Image.fromarray(PIXELS).convert("1")), "p").pixels.shape == PIXELS.shape


@pytest.mark.parametrize("full", [65535, 4095])
def test_sixteen_and_twelve_bits_keep_their_tones(full: int) -> None:
    ramp = np.tile(np.linspace(0, full, 80), (60, 1)).astype(np.uint16)
    opened = open_photograph(saved("PNG", ramp), "p").pixels[..., 0]
    assert np.abs(opened[30].astype(float) - np.linspace(0, 255, 80)).max() < 2


def test_what_is_transparent_is_white() -> None:
    alpha = np.dstack([PIXELS, np.full((60, 80), 255, np.uint8)])
    alpha[30:, :40, 3] = 0
    opened = open_photograph(saved("PNG", alpha), "p").pixels
    assert (opened[50, 10] == 255).all()
    assert (opened[50, 60] == 200).all()


def test_palette_with_transparency_and_cmyk_are_opened() -> None:
    palette = Image.fromarray(PIXELS).quantize(8)
    assert near(open_photograph(saved("PNG", palette, transparency=255), "p").pixels[:, 45:], PIXELS[:, 45:])
    assert near(open_photograph(saved("TIFF", Image.fromarray(PIXELS).convert("CMYK")), "p").pixels, PIXELS)


def test_not_an_image_is_refused() -> None:
    assert "is not a photograph" in refused(b"Dear Ines, the photograph is attached." * 30)
    assert "is empty" in refused(b"")
    assert "is not a photograph" in refused(b"<svg xmlns='http://www.w3.org/2000/svg'/>")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF"])
@pytest.mark.parametrize("kept", [0.3, 0.7, 0.95])
def test_a_broken_off_file_is_refused(kind: str, kept: float) -> None:
    rough = np.random.default_rng(1).integers(0, 255, (200, 300, 3), dtype=np.uint8)
    data = saved(kind, rough)
    says = refused(data[: int(len(data) * kept)])
    assert "send it again" in says or "is not a photograph" in says


@pytest.mark.parametrize("seed", range(40))
def test_flipped_bytes_never_end_in_anything_but_a_sentence(seed: int) -> None:
    rng = np.random.default_rng(seed)
    kind = ("JPEG", "PNG", "WEBP", "TIFF")[seed % 4]
    data = bytearray(saved(kind))
    for at in rng.integers(0, len(data), 6):
        data[at] = rng.integers(0, 256)
    try:
        opened = open_photograph(bytes(data), "r1.jpg")
    except PhotographError as fault:
        said = str(fault)
    else:
        said = f"r1.jpg opened as {opened.pixels.dtype}"
    assert said.startswith("r1.jpg")
    assert "float" not in said


def test_a_preview_is_too_small() -> None:
    assert "16 by 12" in refused(saved("PNG", PIXELS[:12, :16]))


def bomb(side: int = 9000) -> bytes:
    """A PNG of 81 million grey pixels in a few kilobytes."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return len(body).to_bytes(4, "big") + kind + body + zlib.crc32(kind + body).to_bytes(4, "big")

    packer = zlib.compressobj(1)
    rows = b"".join(packer.compress(bytes(side + 1)) for _ in range(side)) + packer.flush()
    head = side.to_bytes(4, "big") * 2 + b"\x08\x00\x00\x00\x00"
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def test_a_bomb_is_refused_before_it_takes_memory(tmp_path: Path) -> None:
    (tmp_path / "bomb.png").write_bytes(bomb())
    assert MOST_PIXELS < 9000 * 9000
    watched = textwrap.dedent("""
        import resource, sys
        from pathlib import Path
        from floatbowl.photo.opening import PhotographError, open_photograph
        used = lambda: resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        try:
            open_photograph(b"\\xff\\xd8\\xff", "warm")
        except PhotographError:
            pass
        before = used()
        try:
            open_photograph(Path(sys.argv[1]), "bomb.png")
        except PhotographError as fault:
            print((used() - before) // 1024, fault)
    """)
    command = [sys.executable, "-c", watched, str(tmp_path / "bomb.png")]
    said = subprocess.run(command, capture_output=True, text=True, check=True, timeout=60).stdout
    megabytes, sentence = said.split(maxsplit=1)
    assert int(megabytes) < 20
    assert "81 million pixels" in sentence


def test_a_missing_or_huge_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(PhotographError, match=r"r9\.jpg is not there"):
        open_photograph(tmp_path / "r9.jpg", "r9.jpg")
    with (tmp_path / "huge.jpg").open("wb") as file:
        file.truncate(200_000_000)
    with pytest.raises(PhotographError, match="larger than 80 MB"):
        open_photograph(tmp_path / "huge.jpg", "huge.jpg")


def test_place_owner_and_preview_are_stripped() -> None:
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112] = "Phonemaker", "Model Nine", 6
    exif.get_ifd(0x8825)[1], exif.get_ifd(0x8825)[2] = "N", (52.0, 12.0, 30.0)
    comment = "Hal Dunmore, Mill Yard"
    data = saved("JPEG", exif=exif, comment=comment, quality=95)
    assert b"Phonemaker" in data
    assert comment.encode() in data
    clean = stripped(data, "r1.jpg")
    for private in (b"Phonemaker", b"Model Nine", b"Exif", b"Dunmore", b"ICC_PROFILE", b"http"):
        assert private not in clean
    with Image.open(io.BytesIO(clean)) as picture:
        assert not picture.getexif()
        assert picture.size == (60, 80)  # turned upright, so that nothing has to say how to turn it
    assert near(open_photograph(clean, "again").pixels, open_photograph(data, "first").pixels)
