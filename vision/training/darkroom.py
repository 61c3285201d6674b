"""Papers, light and cameras on the GPU: sheets of ink become photographs with their marks."""

from __future__ import annotations

import torch
from torch import Tensor
from torch.nn import functional

__all__ = ["OUT", "Darkroom", "carry", "views"]

#: Side in pixels of the finished squares.
OUT = 512


def _uniform(n: int, low: float, high: float, device: torch.device) -> Tensor:
    return torch.rand(n, device=device) * (high - low) + low


def _some(n: int, share: float, device: torch.device) -> Tensor:
    return (torch.rand(n, device=device) < share).float()


def _around(picture: Tensor, wide: int) -> Tensor:
    """Mean about each pixel over `wide` blocks of 4 x 4 pixels each way."""
    blocks = functional.avg_pool2d(picture, 4)
    rim = wide // 2
    blocks = functional.pad(blocks, (rim, rim, rim, rim), mode="replicate")
    rows = functional.avg_pool2d(blocks, (wide, 1), 1)
    mean = functional.avg_pool2d(rows, (1, wide), 1)
    return functional.interpolate(mean, picture.shape[-2:], mode="bilinear", align_corners=False)


def carry(homography: Tensor, points: Tensor) -> Tensor:
    """Take points (b, n, 2) through homographies (b, 3, 3)."""
    lifted = points @ homography[:, :, :2].transpose(1, 2) + homography[:, None, :, 2]
    return lifted[..., :2] / lifted[..., 2:].clamp(min=0.05)


def views(extent: Tensor, side: int, wild: float) -> tuple[Tensor, Tensor]:
    """Choose where the camera stands for each sheet of a batch.

    Parameters
    ----------
    extent : Tensor, shape (b, 4)
        x0, y0, x1, y1 of the truss in pixels of the sheet.
    side : int
        Of the sheet.
    wild : float
        1 for all kinds of views, 0 for the sheet nearly as it is.

    Returns
    -------
    homographies : Tensor, shape (b, 3, 3)
        From the sheet to the finished square.
    scales : Tensor, shape (b,)
        Finished pixels to one of the sheet.
    """
    n, d = len(extent), extent.device
    size = (extent[:, 2:] - extent[:, :2]).amax(1).clamp(min=60)
    middle = (extent[:, 2:] + extent[:, :2]) / 2
    page_scale = OUT / side * _uniform(n, 0.72, 1.35, d)
    near_scale = OUT / (size * (1 + 2 * _uniform(n, 0.04, 0.4, d)))
    tile_scale = OUT / size * _uniform(n, 1.15, 2.3, d)
    page_focus = side / 2 + torch.randn(n, 2, device=d) * 0.06 * side
    near_focus = middle + torch.randn(n, 2, device=d) * 0.05 * size[:, None]
    tile_focus = extent[:, :2] + torch.rand(n, 2, device=d) * (extent[:, 2:] - extent[:, :2])
    pick = torch.rand(n, device=d)
    page, near = pick < 0.42, pick < 0.85
    scale = torch.where(page, page_scale, torch.where(near, near_scale, tile_scale))
    focus = torch.where(
        page[:, None], page_focus, torch.where(near[:, None], near_focus, tile_focus)
    )
    turn = torch.randn(n, device=d) * 4
    turn += _some(n, 0.14, d) * 90 * torch.randint(1, 4, (n,), device=d)
    turn += _some(n, 0.1, d) * _uniform(n, -60, 60, d)
    if wild < 1:
        scale = OUT / side * (1 + wild * _uniform(n, -0.15, 0.6, d))
        focus = side / 2 + wild * torch.randn(n, 2, device=d) * 0.06 * side
        turn = _some(n, 0.12, d) * 90 * torch.randint(1, 4, (n,), device=d)
    scale = scale.clamp(0.42, 2.6)
    turn = torch.deg2rad(turn)
    c, s = torch.cos(turn) * scale, torch.sin(turn) * scale
    stretch = torch.exp(torch.randn(n, device=d) * 0.05)
    zero, one = torch.zeros(n, device=d), torch.ones(n, device=d)
    mirror = 1 - 2 * _some(n, 0.03 * wild, d)
    linear = torch.stack([c * stretch * mirror, -s, s * stretch * mirror, c], 1).reshape(n, 2, 2)
    offset = -(linear @ focus[..., None])
    affine = torch.cat(
        [torch.cat([linear, offset], 2), torch.stack([zero, zero, one], 1)[:, None]], 1
    )
    tilt = torch.randn(n, 2, device=d) * 0.00022 * _some(n, 0.65, d)[:, None] * wild
    lens = torch.eye(3, device=d).repeat(n, 1, 1)
    lens[:, 2, :2] = tilt
    shift = torch.eye(3, device=d).repeat(n, 1, 1)
    shift[:, :2, 2] = OUT / 2
    return shift @ lens @ affine, scale


class Darkroom:
    """Develops batches.

    Parameters
    ----------
    papers : Tensor of uint8, shape (m, side, side)
        Real papers, grey.
    pages : Tensor of uint8, shape (k, side, side)
        Real pages with writing and figures, grey.
    """

    def __init__(self, papers: Tensor, pages: Tensor) -> None:
        self.papers, self.pages = papers, pages
        self.device = papers.device
        v, u = torch.meshgrid(*[torch.arange(OUT, device=self.device).float()] * 2, indexing="ij")
        self.spots = torch.stack([u, v], -1).reshape(1, -1, 2)
        k = torch.arange(8, device=self.device).float()
        basis = torch.cos((2 * k[None] + 1) * k[:, None] * torch.pi / 16) / 2
        basis[0] /= 2**0.5
        self.dct = basis
        self.steps = 3 + 4.0 * (k[:, None] + k[None])

    def _smooth(self, n: int, cells: int, size: int = OUT) -> Tensor:
        coarse = torch.randn(n, 1, cells, cells, device=self.device)
        return functional.interpolate(coarse, (size, size), mode="bicubic", align_corners=True)

    def _bend(self, n: int, share: float) -> Tensor:
        """Small smooth displacements (n, 2, 64, 64) in pixels: lens, curl, a page not flat."""
        size = _uniform(n, 0, 7, self.device) * _some(n, share, self.device)
        field = torch.cat([self._smooth(n, 4, 64), self._smooth(n, 4, 64)], 1)
        return field * size[:, None, None, None]

    def shoot(
        self, sheets: Tensor, homographies: Tensor, scales: Tensor, bend_share: float, border: str
    ) -> tuple[Tensor, Tensor, Tensor]:
        """Sample sheets (b, 1, side, side) in 0..1 as the camera sees them.

        Returns the squares (b, 1, OUT, OUT), where each pixel lies on the sheet
        (b, OUT, OUT, 2), and the displacements for `follow`.
        """
        n, side = len(sheets), sheets.shape[-1]
        bend = self._bend(n, bend_share)
        full = functional.interpolate(bend, (OUT, OUT), mode="bilinear", align_corners=True)
        spots = self.spots + full.flatten(2).transpose(1, 2)
        on_sheet = carry(torch.linalg.inv_ex(homographies).inverse, spots).reshape(n, OUT, OUT, 2)
        grid = (2 * on_sheet + 1) / side - 1
        fine = functional.grid_sample(sheets, grid, padding_mode=border, align_corners=False)
        coarse = functional.grid_sample(
            functional.avg_pool2d(sheets, 2), grid, padding_mode=border, align_corners=False
        )
        small = (scales < 0.8).float()[:, None, None, None]
        return fine * (1 - small) + coarse * small, on_sheet, bend

    def follow(self, points: Tensor, homographies: Tensor, bend: Tensor) -> Tensor:
        """Take points (b, n, 2) of the sheets to where the camera sees them."""
        aim = carry(homographies, points)
        seen = aim
        for _ in range(2):
            grid = (2 * seen / (OUT - 1) - 1).clamp(-1, 1)[:, :, None]
            moved = functional.grid_sample(bend, grid, padding_mode="border", align_corners=True)
            seen = aim - moved[..., 0].transpose(1, 2)
        return seen

    def develop(self, ink: Tensor, on_sheet: Tensor, scales: Tensor, side: int) -> Tensor:
        """Lay ink (b, 1, OUT, OUT) on papers and light it; returns greys 0..1."""
        n, d = len(ink), self.device
        one = lambda low, high: _uniform(n, low, high, d)[:, None, None, None]  # noqa: E731
        some = lambda share: _some(n, share, d)[:, None, None, None]  # noqa: E731
        swell = functional.max_pool2d(ink, 3, 1, 1)
        ink = ink + (swell - ink) * some(0.2) * one(0.3, 1.0)
        rough = functional.interpolate(
            torch.randn(n, 1, OUT // 2, OUT // 2, device=d), (OUT, OUT), mode="bilinear"
        )
        fine = torch.randn(n, 1, OUT, OUT, device=d)
        grain = 1 - some(0.35) * one(0.1, 0.6) * (0.6 * rough + 0.5 * fine).abs()
        cover = (ink * grain.clamp(0, 1) * one(0.55, 1.0)).clamp(0, 1)
        chalk = some(0.13)
        base = one(0.4, 1.0) * (1 - chalk) + one(0.08, 0.35) * chalk
        paper = base * self._paper(n, one, some)
        paper = paper * self._rules(on_sheet, scales, chalk, one, some)
        back = functional.avg_pool2d(ink.roll(1, 0).flip(-1), 3, 1, 1)
        paper = paper * (1 - back * some(0.1) * one(0.03, 0.14))
        pale = one(0.0, 0.4) + some(0.15) * one(0.1, 0.35)
        tone = paper * pale * (1 - chalk) + chalk * one(0.6, 1.0)
        picture = paper * (1 - cover) + tone * cover
        picture = self._desk(picture, on_sheet, side, one, some)
        picture = self._light(picture, one, some)
        return self._objects(picture, one, some)

    def _paper(self, n: int, one, some) -> Tensor:  # type: ignore[no-untyped-def]
        d = self.device
        pick = torch.randint(0, len(self.papers), (n,), device=d)
        page_pick = torch.randint(0, len(self.pages), (n,), device=d)
        turn = torch.rand(n, device=d) * 6.3
        zoom = _uniform(n, 0.3, 0.95, d)
        c, s = torch.cos(turn) * zoom, torch.sin(turn) * zoom
        shift = (torch.rand(n, 2, device=d) - 0.5) * (1 - zoom)[:, None]
        affine = torch.stack([c, -s, shift[:, 0], s, c, shift[:, 1]], 1).reshape(n, 2, 3)
        grid = functional.affine_grid(affine, [n, 1, OUT, OUT], align_corners=False)
        use_page = _some(n, 0.05, d)[:, None, None, None]
        stack = self.papers[pick][:, None].float() * (1 - use_page)
        stack += self.pages[page_pick][:, None].float() * use_page
        real = functional.grid_sample(stack, grid, padding_mode="reflection", align_corners=False)
        real = real / real.mean((2, 3), keepdim=True).clamp(min=20)
        plain = 1 + 0.02 * self._smooth(n, 40) + 0.01 * torch.randn(n, 1, OUT, OUT, device=d)
        use_real = some(0.6)
        strength = one(0.5, 1.2) * (1 - use_page) + one(0.3, 0.9) * use_page
        return (1 + strength * (real - 1)) * use_real + plain * (1 - use_real)

    def _rules(self, on_sheet: Tensor, scales: Tensor, chalk: Tensor, one, some) -> Tensor:  # type: ignore[no-untyped-def]
        n, d = len(on_sheet), self.device
        turn = torch.deg2rad(torch.randn(n, device=d) * 2.5)[:, None, None]
        x = on_sheet[..., 0] * torch.cos(turn) + on_sheet[..., 1] * torch.sin(turn)
        y = on_sheet[..., 1] * torch.cos(turn) - on_sheet[..., 0] * torch.sin(turn)
        step = _uniform(n, 12, 44, d)[:, None, None]
        half = _uniform(n, 0.3, 1.0, d)[:, None, None]
        scale = scales[:, None, None]

        def stripes(v: Tensor) -> Tensor:
            off = (torch.remainder(v, step) - step / 2).abs()
            return ((half - off) * scale + 0.5).clamp(0, 1) * (2 * half * scale).clamp(max=1)

        rows, columns = stripes(y), stripes(x)
        kind = torch.rand(n, device=d)[:, None, None]
        both = torch.maximum(rows, columns)
        margin = ((1.2 * half - (x - 70).abs()) * scale + 0.5).clamp(0, 1)
        lines = torch.where(
            kind < 0.55,
            both,
            torch.where(kind < 0.85, torch.maximum(rows, margin), rows * columns * 2),
        )
        strength = one(0.04, 0.5) * some(0.6) * (1 - 0.7 * chalk)
        folds = torch.zeros_like(rows)
        for _ in range(2):
            way = torch.rand(n, device=d)[:, None, None] * 6.3
            off = x * torch.cos(way) + y * torch.sin(way) - _uniform(n, -300, 700, d)[:, None, None]
            sharp = torch.exp(-((off / 3) ** 2)) + torch.tanh(off / 30) * torch.exp(-off.abs() / 60)
            folds = (
                folds + sharp * (torch.randn(n, device=d) * 0.08 * _some(n, 0.3, d))[:, None, None]
            )
        return (1 - strength * lines[:, None].clamp(0, 1)) * (1 + folds[:, None])

    def _desk(self, picture: Tensor, on_sheet: Tensor, side: int, one, some) -> Tensor:  # type: ignore[no-untyped-def]
        n, d = len(picture), self.device
        inside = torch.ones(n, OUT, OUT, device=d)
        for axis, sign in ((0, 1), (0, -1), (1, 1), (1, -1)):
            room = _uniform(n, 4, 160, d)[:, None, None]
            v = on_sheet[..., axis] if sign < 0 else side - on_sheet[..., axis]
            inside = inside * ((v + room) * 0.7).clamp(0, 1)
        inside = inside[:, None]
        grain = self._smooth(n, 6) * 0.06 + self._smooth(n, 60) * 0.04
        desk = (one(0.05, 0.95) + grain).clamp(0, 1)
        edge = 1 - 0.3 * some(0.5) * _around(1 - inside, 5) * inside
        use = some(0.4)
        return picture * edge * (1 - use * (1 - inside)) + desk * use * (1 - inside)

    def _light(self, picture: Tensor, one, some) -> Tensor:  # type: ignore[no-untyped-def]
        n, d = len(picture), self.device
        picture = picture * torch.exp(self._smooth(n, 3) * one(0.0, 0.25))
        u, v = self.spots[0, :, 0].reshape(1, OUT, OUT), self.spots[0, :, 1].reshape(1, OUT, OUT)
        for share in (0.35, 0.15):
            way = torch.rand(n, device=d)[:, None, None] * 6.3
            off = (u - OUT / 2) * torch.cos(way) + (v - OUT / 2) * torch.sin(way)
            off = off + self._smooth(n, 4)[:, 0] * _uniform(n, 0, 60, d)[:, None, None]
            soft = _uniform(n, 1.5, 50, d)[:, None, None]
            shade = torch.sigmoid((off - _uniform(n, -200, 200, d)[:, None, None]) / soft)
            picture = picture * (1 - shade[:, None] * some(share) * one(0.1, 0.55))
        centre = torch.rand(n, 2, device=d) * OUT
        far = (u - centre[:, 0, None, None]) ** 2 + (v - centre[:, 1, None, None]) ** 2
        glare = torch.exp(-far / (2 * _uniform(n, 25, 130, d)[:, None, None] ** 2))
        glare = glare[:, None] * some(0.12) * one(0.1, 0.8)
        return picture + glare * (1 - picture).clamp(min=0)

    def _objects(self, picture: Tensor, one, some) -> Tensor:  # type: ignore[no-untyped-def]
        """Pens and fingers that reach into the picture from its edge."""
        n, d = len(picture), self.device
        u, v = self.spots[0, :, 0].reshape(1, OUT, OUT), self.spots[0, :, 1].reshape(1, OUT, OUT)
        angle = torch.rand(n, device=d) * 6.3
        out = torch.stack([torch.cos(angle), torch.sin(angle)], 1)
        start = OUT / 2 + out * 380
        end = OUT / 2 + out * _uniform(n, 170, 300, d)[:, None] + torch.randn(n, 2, device=d) * 25
        along = end - start
        t = ((u - start[:, 0, None, None]) * along[:, 0, None, None]
             + (v - start[:, 1, None, None]) * along[:, 1, None, None])  # fmt: skip
        t = (t / along.square().sum(1)[:, None, None]).clamp(0, 1)
        far = torch.hypot(
            u - start[:, 0, None, None] - t * along[:, 0, None, None],
            v - start[:, 1, None, None] - t * along[:, 1, None, None],
        )
        wide = torch.where(
            torch.rand(n, device=d) < 0.6, _uniform(n, 5, 12, d), _uniform(n, 20, 45, d)
        )
        wide = wide[:, None, None] * (1.15 - 0.3 * t)
        body = ((wide - far) * 0.8).clamp(0, 1)[:, None] * some(0.07)
        round_tone = one(0.1, 0.9) * (1 - 0.4 * (far / wide).clamp(0, 1)[:, None] ** 2)
        return picture * (1 - body) + round_tone * body

    def expose(self, picture: Tensor, gentle: bool = False) -> Tensor:
        """What optics, sensor, coding and a scanner's contrast make of a picture, in 8 bits.

        Some come with their light evened and dark boards inverted, as the reader looks at them.
        """
        n, d = len(picture), self.device
        one = lambda low, high: _uniform(n, low, high, d)[:, None, None, None]  # noqa: E731
        some = lambda share: _some(n, share, d)[:, None, None, None]  # noqa: E731
        share = 0.3 if gentle else 1.0
        picture = self._blur(picture, 0.75 * share)
        if not gentle and torch.rand(()) < 0.3:
            small = int(OUT * (0.5 + 0.45 * float(torch.rand(()))))
            low = functional.interpolate(picture, (small, small), mode="bilinear", antialias=True)
            low = functional.interpolate(low, (OUT, OUT), mode="bilinear")
            use = some(0.5)
            picture = picture * (1 - use) + low * use
        noise = torch.randn(n, 1, OUT, OUT, device=d)
        blotch = functional.interpolate(
            torch.randn(n, 1, OUT // 3, OUT // 3, device=d), (OUT, OUT), mode="bilinear"
        )
        picture = picture + (noise * one(0, 0.035) + blotch * one(0, 0.02)) * some(0.8) * share
        code = some(0.3 * share)
        picture = picture * (1 - code) + self._code(picture, one(0.3, 2.2)) * code
        local = _around(picture, 11)
        ratio = picture / local.clamp(min=0.03)
        scan = ((ratio - 1) * one(1.5, 5) + one(0.85, 1.0)).clamp(0, 1)
        binary = torch.sigmoid((ratio - one(0.78, 0.93)) * one(15, 60))
        light = (picture.mean((1, 2, 3), keepdim=True) > 0.43).float()
        upright = picture * light + (1 - picture) * (1 - light)
        evened = upright / _around(upright, 11).clamp(min=0.03) * one(0.93, 1.05)
        use_evened = some(0.22)
        picture = picture * (1 - use_evened) + evened.clamp(0, 1) * use_evened
        use_scan, use_binary = some(0.14 * share), some(0.05 * share)
        picture = picture * (1 - use_scan) + scan * use_scan
        picture = picture * (1 - use_binary) + binary * use_binary
        picture = picture.clamp(0, 1) ** one(0.7, 1.45)
        picture = picture * one(0.8, 1.12) + one(-0.05, 0.06)
        flip = some(0.015)
        picture = picture * (1 - flip) + (1 - picture) * flip
        return (picture.clamp(0, 1) * 255).round() / 255

    def _blur(self, picture: Tensor, share: float) -> Tensor:
        """Gaussians of any slenderness and turn: defocus and motion alike."""
        n, d = len(picture), self.device
        long = _uniform(n, 0.25, 1.5, d) * (1 + _some(n, 0.12, d) * 1.2)
        short = torch.where(torch.rand(n, device=d) < 0.25, _uniform(n, 0.25, 0.6, d), long)
        turn = torch.rand(n, device=d) * 3.2
        k = torch.arange(-4, 5, device=d).float()
        y, x = torch.meshgrid(k, k, indexing="ij")
        a = x[None] * torch.cos(turn)[:, None, None] + y[None] * torch.sin(turn)[:, None, None]
        b = y[None] * torch.cos(turn)[:, None, None] - x[None] * torch.sin(turn)[:, None, None]
        kernel = torch.exp(-((a / long[:, None, None]) ** 2 + (b / short[:, None, None]) ** 2) / 2)
        kernel = kernel / kernel.sum((1, 2), keepdim=True)
        padded = functional.pad(picture, (4, 4, 4, 4), mode="replicate").transpose(0, 1)
        blurred = functional.conv2d(padded, kernel[:, None], groups=n).transpose(0, 1)
        use = _some(n, share, d)[:, None, None, None]
        return picture * (1 - use) + blurred * use

    def _code(self, picture: Tensor, coarseness: Tensor) -> Tensor:
        """Round the cosine transform of 8 x 8 blocks, as JPEG does."""
        n = len(picture)
        blocks = picture.reshape(n, OUT // 8, 8, OUT // 8, 8).permute(0, 1, 3, 2, 4) * 255 - 128
        waves = self.dct @ blocks @ self.dct.T
        steps = self.steps * coarseness[..., None]
        waves = (waves / steps).round() * steps
        blocks = (self.dct.T @ waves @ self.dct + 128) / 255
        return blocks.permute(0, 1, 3, 2, 4).reshape(n, 1, OUT, OUT)
