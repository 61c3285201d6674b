"""Perfect maps painted on the GPU: the kernel twin of `vision.training.targets`."""

from __future__ import annotations

import numpy as np
import torch
from torch import Tensor

from vision.maps import CHANNELS
from vision.training.targets import JOINT_RADIUS, LINE_RADIUS, paint_cells

try:
    import triton  # type: ignore[import-not-found]
    import triton.language as tl  # type: ignore[import-not-found]
except ImportError:
    triton = None

__all__ = ["paint_batch"]

_BLOCK = 512


def paint_batch(
    segments: Tensor, points: Tensor, boxes: Tensor, counts: Tensor, cells: int
) -> Tensor:
    """Paint the maps of a batch.

    Parameters
    ----------
    segments, points, boxes : Tensor, shapes (b, s, 5), (b, p, 5), (b, t, 8)
        As `vision.training.targets.marks` lists them, in cells.
    counts : Tensor of int32, shape (b, 3)
        How many rows of each are in use.
    cells : int
        Side of the maps.

    Returns
    -------
    Tensor, shape (b, len(CHANNELS), cells, cells)
    """
    batch = len(counts)
    if triton is None or not segments.is_cuda:
        maps = [
            paint_cells(s[:a].numpy(), p[:b].numpy(), t[:c].numpy(), cells)
            for s, p, t, (a, b, c) in zip(segments, points, boxes, counts.tolist(), strict=True)
        ]
        return torch.from_numpy(np.stack(maps))
    out = torch.empty((batch, len(CHANNELS), cells, cells), device=segments.device)
    grid = (cells * cells // _BLOCK, batch)
    _paint[grid](
        segments.contiguous(), points.contiguous(), boxes.contiguous(), counts.contiguous(), out,
        segments.shape[1], points.shape[1], boxes.shape[1], cells,
        1 / (2 * LINE_RADIUS**2), 1 / (2 * JOINT_RADIUS**2), _BLOCK,
    )  # fmt: skip
    return out


if triton is not None:

    @triton.jit  # type: ignore[untyped-decorator]
    def _paint(  # type: ignore[no-untyped-def]
        segments, points, boxes, counts, out, most_segments, most_points, most_boxes, cells,
        line_fall, joint_fall, BLOCK: tl.constexpr,
    ):  # fmt: skip
        b = tl.program_id(1)
        at = tl.program_id(0) * BLOCK + tl.arange(0, BLOCK)
        x = (at % cells).to(tl.float32)
        y = (at // cells).to(tl.float32)
        big = tl.full((BLOCK,), 1e9, tl.float32)
        none = tl.zeros((BLOCK,), tl.float32)
        member, other, arrow = big, big, big
        cos2, sin2, load_cos, load_sin = none, none, none, none
        for s in range(tl.load(counts + 3 * b)):
            row = segments + (b * most_segments + s) * 5
            x0, y0 = tl.load(row), tl.load(row + 1)
            dx, dy = tl.load(row + 2) - x0, tl.load(row + 3) - y0
            kind = tl.load(row + 4)
            length2 = tl.maximum(dx * dx + dy * dy, 1e-9)
            t = tl.minimum(tl.maximum(((x - x0) * dx + (y - y0) * dy) / length2, 0.0), 1.0)
            ex, ey = x - x0 - t * dx, y - y0 - t * dy
            far = ex * ex + ey * ey
            if kind < 0.5:
                near = far < member
                member = tl.where(near, far, member)
                cos2 = tl.where(near, (dx * dx - dy * dy) / length2, cos2)
                sin2 = tl.where(near, -2 * dx * dy / length2, sin2)
            elif kind < 1.5:
                other = tl.minimum(other, far)
            else:
                length = tl.sqrt(length2)
                near = far < arrow
                arrow = tl.where(near, far, arrow)
                load_cos = tl.where(near, dx / length, load_cos)
                load_sin = tl.where(near, -dy / length, load_sin)
        cos2 = tl.where(member < 9, cos2, 0.0)
        sin2 = tl.where(member < 9, sin2, 0.0)
        load_cos = tl.where(arrow < 9, load_cos, 0.0)
        load_sin = tl.where(arrow < 9, load_sin, 0.0)
        joint, crossing, pin, roller = none, none, none, none
        load, head, tail, reaction = none, none, none, none
        support_cos, support_sin = none, none
        for p in range(tl.load(counts + 3 * b + 1)):
            row = points + (b * most_points + p) * 5
            px, py, kind = tl.load(row), tl.load(row + 1), tl.load(row + 2)
            dx, dy = tl.load(row + 3), tl.load(row + 4)
            seen = (px >= 0) & (py >= 0) & (px < cells) & (py < cells)
            far = tl.where(seen, (x - px) * (x - px) + (y - py) * (y - py), 1e9)
            heat = tl.exp(-far * joint_fall)
            length = tl.sqrt(tl.maximum(dx * dx + dy * dy, 1e-9))
            near = far < 16
            if kind == 0:
                joint = tl.maximum(joint, heat)
            elif kind == 1:
                crossing = tl.maximum(crossing, heat)
            elif kind == 2:
                pin = tl.maximum(pin, heat)
            elif kind == 3:
                roller = tl.maximum(roller, heat)
            elif kind == 4:
                load = tl.maximum(load, heat)
            elif kind == 5:
                head = tl.maximum(head, heat)
            elif kind == 6:
                tail = tl.maximum(tail, heat)
            else:
                reaction = tl.maximum(reaction, heat)
            if (kind == 2) | (kind == 3):
                support_cos = tl.where(near, dx / length, support_cos)
                support_sin = tl.where(near, -dy / length, support_sin)
            if (kind == 4) | (kind == 7):
                load_cos = tl.where(near, dx / length, load_cos)
                load_sin = tl.where(near, -dy / length, load_sin)
        text = none
        for q in range(tl.load(counts + 3 * b + 2)):
            row = boxes + (b * most_boxes + q) * 8
            ax, ay, bx, by = tl.load(row), tl.load(row + 1), tl.load(row + 2), tl.load(row + 3)
            cx, cy, ex, ey = tl.load(row + 4), tl.load(row + 5), tl.load(row + 6), tl.load(row + 7)
            turn = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
            one = (bx - ax) * (y - ay) - (by - ay) * (x - ax)
            two = (cx - bx) * (y - by) - (cy - by) * (x - bx)
            three = (ex - cx) * (y - cy) - (ey - cy) * (x - cx)
            four = (ax - ex) * (y - ey) - (ay - ey) * (x - ex)
            inside = (
                (one * turn >= 0) & (two * turn >= 0) & (three * turn >= 0) & (four * turn >= 0)
            )
            text = tl.where(inside, 1.0, text)
        plane = cells * cells
        base = out + b * 17 * plane + at
        tl.store(base, tl.exp(-member * line_fall))
        tl.store(base + plane, cos2)
        tl.store(base + 2 * plane, sin2)
        tl.store(base + 3 * plane, joint)
        tl.store(base + 4 * plane, crossing)
        tl.store(base + 5 * plane, pin)
        tl.store(base + 6 * plane, roller)
        tl.store(base + 7 * plane, support_cos)
        tl.store(base + 8 * plane, support_sin)
        tl.store(base + 9 * plane, load)
        tl.store(base + 10 * plane, load_cos)
        tl.store(base + 11 * plane, load_sin)
        tl.store(base + 12 * plane, head)
        tl.store(base + 13 * plane, tail)
        tl.store(base + 14 * plane, reaction)
        tl.store(base + 15 * plane, tl.exp(-other * line_fall))
        tl.store(base + 16 * plane, text)
