"""Train the reader's network: many processes draw, the GPU photographs and learns.

``python -m vision.training.train OUT --material FILE --minutes 8`` on one GPU;
``torchrun --nproc-per-node 2 -m vision.training.train ...`` on two.
"""

from __future__ import annotations

import argparse
import copy
import json
import os
import time
from pathlib import Path

import numpy as np
import torch
import torch.distributed as dist
from torch import Tensor

from vision.training.darkroom import OUT, Darkroom, views
from vision.training.loss import loss_of
from vision.training.material import load_pictures
from vision.training.model import Reader
from vision.training.painter import paint_batch
from vision.training.stream import PRINT_SIDE, SIDE, Stock, draw_prints, draw_sheets, start

__all__ = ["make_batch"]

CELLS = OUT // 2
#: Steps between looks at the clock, each of which waits for the GPU.
CLOCK_STEPS = 10


def make_batch(
    darkroom: Darkroom, sheets: Stock, prints: Stock | None, shares: tuple[int, int, int]
) -> tuple[Tensor, Tensor, Tensor]:
    """Make pictures, their perfect maps, and whether all their marks are known.

    `shares` counts the sheets to photograph, the finished pictures and the real pages.
    """
    pictures, targets, known = [], [], []
    for stock, count, side in ((sheets, shares[0], SIDE), (prints, shares[1], PRINT_SIDE)):
        if stock is None or not count:
            continue
        ink, segments, points, boxes, counts, extent = stock.sample(count)
        raw = stock is sheets
        homographies, scales = views(extent, side, 1.0 if raw else 0.3)
        seen, on_sheet, bend = darkroom.shoot(
            ink, homographies, scales, 0.35 if raw else 0.1, "zeros" if raw else "border"
        )
        if raw:
            seen = darkroom.develop(seen, on_sheet, scales, side)
        pictures.append(darkroom.expose(seen, gentle=not raw))

        def follow(
            places: Tensor, homographies: Tensor = homographies, bend: Tensor = bend
        ) -> Tensor:
            return (darkroom.follow(places, homographies, bend) - 0.5) / 2

        n = len(ink)
        ends = follow(segments[..., :4].reshape(n, -1, 2)).reshape(n, -1, 4)
        segments = torch.cat([ends, segments[..., 4:]], -1)
        place = follow(points[..., :2])
        step = follow(points[..., :2] + points[..., 3:]) - place
        points = torch.cat([place, points[..., 2:3], step], -1)
        boxes = follow(boxes.reshape(n, -1, 2)).reshape(n, -1, 8)
        targets.append(paint_batch(segments, points, boxes, counts[:, :3], CELLS))
        known.append(counts[:, 3].float())
    if shares[2]:
        pick = torch.randint(0, len(darkroom.pages), (shares[2],), device=darkroom.device)
        real = darkroom.pages[pick][:, None].float() / 255
        extent = torch.full((shares[2], 4), 0.15 * SIDE, device=darkroom.device)
        extent[:, 2:] = 0.85 * SIDE
        homographies, scales = views(extent, SIDE, 1.0)
        seen, _, _ = darkroom.shoot(real, homographies, scales, 0.3, "border")
        pictures.append(darkroom.expose(seen))
        targets.append(
            torch.zeros(shares[2], targets[0].shape[1], CELLS, CELLS, device=darkroom.device)
        )
        known.append(torch.zeros(shares[2], device=darkroom.device))
    return torch.cat(pictures), torch.cat(targets), torch.cat(known)


def _arguments() -> argparse.Namespace:
    ask = argparse.ArgumentParser()
    ask.add_argument("out", type=Path)
    ask.add_argument("--material", type=Path, required=True)
    ask.add_argument("--minutes", type=float, default=8)
    ask.add_argument("--sheet-workers", type=int, default=8)
    ask.add_argument("--print-workers", type=int, default=7)
    ask.add_argument("--shares", type=int, nargs=3, default=[36, 20, 8])
    ask.add_argument("--rate", type=float, default=2e-3)
    ask.add_argument("--warm-up", type=int, default=150, help="steps until the full rate")
    ask.add_argument(
        "--falling", type=float, nargs=2, default=[0, 1], help="part of the rate's fall that is run"
    )
    ask.add_argument("--average", type=float, default=0.998, help="share of the past per step")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--start", type=Path)
    ask.add_argument("--fill", type=int, default=600, help="sheets to wait for before learning")
    ask.add_argument("--keep", type=int, default=5000)
    return ask.parse_args()


def main() -> None:
    """Train for the asked time and save the averaged weights."""
    args = _arguments()
    rank, world = int(os.environ.get("RANK", 0)), int(os.environ.get("WORLD_SIZE", 1))
    device = f"cuda:{rank}" if torch.cuda.is_available() else "cpu"
    seeds = [args.seed * 10_000 + rank * 1_000 + k for k in range(999)]
    workers = [(seed, str(args.material)) for seed in seeds[: args.sheet_workers]]
    open_sheets = start(draw_sheets, workers, SIDE, args.keep, device)
    open_prints = None
    if args.print_workers:
        numbers = [(seed,) for seed in seeds[500 : 500 + args.print_workers]]
        open_prints = start(draw_prints, numbers, PRINT_SIDE, args.keep, device)
    args.out.mkdir(parents=True, exist_ok=True)
    torch.manual_seed(args.seed + 100 * rank)
    torch.backends.cudnn.benchmark = True
    if world > 1:
        torch.cuda.set_device(rank)
        dist.init_process_group("nccl")
    sheets, prints = open_sheets(), open_prints() if open_prints else None
    stacks = [
        torch.from_numpy(np.stack(load_pictures(args.material, group))).to(device)
        for group in ("papers", "pages")
    ]
    _learn(args, rank, world, device, Darkroom(*stacks), sheets, prints)


def _learn(
    args: argparse.Namespace, rank: int, world: int, device: str, darkroom: Darkroom,
    sheets: Stock, prints: Stock | None,
) -> None:  # fmt: skip
    net = Reader().to(device)
    net.to(memory_format=torch.channels_last)  # type: ignore[call-overload]
    if args.start:
        net.load_state_dict(torch.load(args.start, map_location=device))
    average = copy.deepcopy(net).eval().requires_grad_(False)
    blend = torch.optim.swa_utils.get_ema_multi_avg_fn(args.average)
    kept, learnt = (
        [part for part in one.state_dict().values() if part.is_floating_point()]
        for one in (average, net)
    )
    model = (
        torch.nn.parallel.DistributedDataParallel(net, [rank], broadcast_buffers=False)
        if world > 1
        else net
    )
    optimiser = torch.optim.AdamW(net.parameters(), lr=args.rate, weight_decay=1e-4)
    sheets.fill(args.fill)
    if prints:
        prints.fill(args.fill // 3)
    if world > 1:
        dist.barrier()
    _check_painter(sheets)
    begin, log, step, running, part = time.time(), [], 0, 0.0, 0.0
    while True:
        if step % CLOCK_STEPS == 0:
            part = _part_of_time(begin, args.minutes, device)
        if part >= 1:
            break
        rate = (
            args.rate
            * min(1, (step + 1) / args.warm_up)
            * (0.5 * (1 + np.cos(np.pi * np.interp(part, [0, 1], args.falling))) + 0.01)
        )
        for group in optimiser.param_groups:
            group["lr"] = rate
        sheets.refresh(64)
        if prints:
            prints.refresh(64)
        with torch.no_grad():
            pictures, target, known = make_batch(darkroom, sheets, prints, tuple(args.shares))
        pictures = pictures.contiguous(memory_format=torch.channels_last)
        with torch.autocast(device.split(":")[0], torch.bfloat16):
            out = model(pictures)
        loss = loss_of(out.float(), target, known)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        blend(kept, learnt, None)
        step += 1
        if step % 20 == 1:
            running = (
                float(loss.detach()) if step == 1 else 0.8 * running + 0.2 * float(loss.detach())
            )
        if rank == 0 and step % 25 == 1:
            log.append(
                {"step": step, "pictures": step * world * len(pictures), "loss": round(running, 4),
                 "seconds": round(time.time() - begin, 1), "sheets": sheets.arrived * world,
                 "prints": prints.arrived * world if prints else 0}
            )  # fmt: skip
            print(log[-1], flush=True)
            if step % 100 == 1:
                torch.save(average.state_dict(), args.out / "last.pt")
    if rank == 0:
        torch.save(average.state_dict(), args.out / "last.pt")
        record = {
            "arguments": {k: str(v) for k, v in vars(args).items()},
            "world": world,
            "log": log,
        }
        (args.out / "log.json").write_text(json.dumps(record, indent=1))
        print("done", step, step * world * sum(args.shares), flush=True)
    if world > 1:
        dist.barrier()
        dist.destroy_process_group()


def _part_of_time(begin: float, minutes: float, device: str) -> float:
    """Share of the time that is over, the same in all processes."""
    part = (time.time() - begin) / (60 * minutes)
    if not dist.is_initialized():
        return part
    shared = torch.tensor([part], device=device)
    dist.broadcast(shared, 0)
    return float(shared)


def _check_painter(sheets: Stock) -> None:
    """Show that the kernel paints what the readable painter paints."""
    _, segments, points, boxes, counts, _ = sheets.sample(3)
    segments, points, boxes = segments.clone(), points.clone(), boxes / 3
    segments[..., :4] /= 3
    points[..., :2] /= 3
    counts = counts[:, :3].contiguous()
    fast = paint_batch(segments, points, boxes, counts, CELLS).cpu()
    slow = paint_batch(segments.cpu(), points.cpu(), boxes.cpu(), counts.cpu(), CELLS)
    off = ((fast - slow).abs() > 0.01).float().mean((0, 2, 3))
    print("share of cells where the painters differ:", off.max().item(), flush=True)


if __name__ == "__main__":
    main()
