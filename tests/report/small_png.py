"""A picture of few colours made small: PNG as a browser writes it in, PNG with a palette out."""

from __future__ import annotations

import struct
import zlib

import numpy

SIGNATURE = b"\x89PNG\r\n\x1a\n"


def chunks(png: bytes) -> list[tuple[bytes, bytes]]:
    found, at = [], len(SIGNATURE)
    while at < len(png):
        (length,) = struct.unpack(">I", png[at:at + 4])
        found.append((png[at + 4:at + 8], png[at + 8:at + 8 + length]))
        at += length + 12
    return found


def pixels(png: bytes) -> numpy.ndarray:
    """Rows, columns, red green blue; of a PNG with 8 bits to each and no interlacing (PNG, W3C 2003, clause 9)."""
    parts = chunks(png)
    width, height, depth, colour, _, _, interlaced = struct.unpack(">IIBBBBB", parts[0][1])
    assert depth == 8 and colour in (2, 6) and not interlaced, "not a picture of a browser"
    each = 3 if colour == 2 else 4
    lines = numpy.frombuffer(zlib.decompress(b"".join(data for kind, data in parts if kind == b"IDAT")), numpy.uint8)
    lines = lines.reshape(height, 1 + width * each)
    result = numpy.zeros((height, width, each), numpy.uint8)
    above = numpy.zeros((width, each), numpy.uint8)
    for row, line in zip(result, lines):
        kind, coded = line[0], line[1:].reshape(width, each)
        if kind == 0:
            row[:] = coded
        elif kind == 1:
            row[:] = numpy.cumsum(coded, axis=0, dtype=numpy.uint8)
        elif kind == 2:
            row[:] = coded + above
        else:
            row[:] = from_neighbours(kind, coded.tolist(), above.tolist())
        above = row
    return result[:, :, :3]


def from_neighbours(kind: int, coded: list, above: list) -> list:
    left, corner, row = [0] * len(coded[0]), [0] * len(coded[0]), []
    for here, over in zip(coded, above):
        if kind == 3:
            left = [(c + (a + b) // 2) & 255 for c, a, b in zip(here, left, over)]
        else:
            left = [(c + nearest(a, b, d)) & 255 for c, a, b, d in zip(here, left, over, corner)]
        corner = over
        row.append(left)
    return row


def nearest(left: int, above: int, corner: int) -> int:
    guess = left + above - corner
    return min((left, above, corner), key=lambda value: abs(value - guess))


def made_small(png: bytes, colours: int = 32) -> bytes:
    """With its most frequent colours alone; every other becomes the nearest of them."""
    seen = pixels(png)
    packed = seen.astype(numpy.uint32) @ numpy.array([65536, 256, 1], numpy.uint32)
    values, where, counts = numpy.unique(packed, return_inverse=True, return_counts=True)
    split = numpy.stack([values >> 16, values >> 8 & 255, values & 255], axis=1).astype(int)
    kept: list[int] = []
    # A colour that another stands for well enough needs no place of its own.
    for i in numpy.argsort(-counts, kind="stable"):
        if len(kept) < colours and all(numpy.abs(split[i] - split[k]).sum() > 24 for k in kept):
            kept.append(int(i))
    stands_for = numpy.abs(split[:, None, :] - split[kept][None, :, :]).sum(axis=2).argmin(axis=1).astype(numpy.uint8)
    indexed = stands_for[where].reshape(packed.shape)
    lines = numpy.concatenate([numpy.zeros((len(indexed), 1), numpy.uint8), indexed], axis=1)
    parts = [(b"IHDR", struct.pack(">IIBBBBB", indexed.shape[1], indexed.shape[0], 8, 3, 0, 0, 0)),
             (b"PLTE", split[kept].astype(numpy.uint8).tobytes()), (b"IDAT", zlib.compress(lines.tobytes(), 9)), (b"IEND", b"")]
    return SIGNATURE + b"".join(struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
                                for kind, data in parts)
