"""The network: a square picture in, maps of likelihood for six middles and 23 joints out. About 3.7 million numbers."""

from __future__ import annotations

import torch
from torch import nn
from torch.nn import functional

MIDDLES = ("shoulder", "hip", "knee", "ankle", "elbow", "wrist")
JOINTS = 23
CELLS, CELL = 48, 4  # cells of a map to a side, px of the picture in a cell


def conv(
    a: int, b: int, size: int = 3, *, stride: int = 1, groups: int = 1, act: bool = True
) -> nn.Sequential:
    """Convolution, norm and, unless said otherwise, a rectifier."""
    layers: list[nn.Module] = [
        nn.Conv2d(a, b, size, stride, size // 2, groups=groups, bias=False),
        nn.BatchNorm2d(b),
    ]
    return nn.Sequential(*layers, *([nn.ReLU(inplace=True)] if act else []))


class Dense(nn.Module):
    """Two 3 x 3 convolutions beside a straight way."""

    def __init__(self, width: int) -> None:
        super().__init__()
        self.body = nn.Sequential(conv(width, width), conv(width, width, act=False))

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        return functional.relu(x + self.body(x))


class Wide(nn.Module):
    """Widened three times, 5 x 5 in each channel alone, narrowed again, beside a straight way."""

    def __init__(self, width: int) -> None:
        super().__init__()
        inner = 3 * width
        self.body = nn.Sequential(
            conv(width, inner, 1), conv(inner, inner, 5, groups=inner), conv(inner, width, 1, act=False)
        )

    def forward(self, x: torch.Tensor) -> torch.Tensor:
        return x + self.body(x)


class Folded(nn.Module):
    """The whole network. `image` is (N, 3, 192, 192), RGB from 0 to 1; maps are log-odds before a spatial softmax."""

    def __init__(self) -> None:
        super().__init__()
        self.four = nn.Sequential(conv(3, 32, stride=2), conv(32, 64, stride=2), Dense(64), Dense(64))
        self.eight = nn.Sequential(conv(64, 96, stride=2), Dense(96), Dense(96), Dense(96))
        self.sixteen = nn.Sequential(conv(96, 192, stride=2), *(Wide(192) for _ in range(5)))
        self.thirtytwo = nn.Sequential(conv(192, 240, stride=2), *(Wide(240) for _ in range(3)))
        self.from32, self.from16, self.at16 = (
            conv(240, 128, 1),
            conv(192, 128, 1),
            conv(128, 128, 5, groups=128),
        )
        self.to8, self.from8, self.at8 = conv(128, 96, 1), conv(96, 96, 1), conv(96, 96)
        self.to4, self.from4, self.at4 = (
            conv(96, 64, 1),
            conv(64, 64, 1),
            nn.Sequential(conv(64, 64), conv(64, 64)),
        )
        self.maps = nn.Conv2d(64, len(MIDDLES) + JOINTS, 1)
        self.seen = nn.Parameter(torch.zeros(JOINTS, 64))
        self.seen_bias = nn.Parameter(torch.zeros(JOINTS))

    def forward(self, image: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        a = self.four((image - 0.45) * 4.0)
        b = self.eight(a)
        c = self.sixteen(b)
        d = self.thirtytwo(c)
        c = self.at16(self.from16(c) + up(self.from32(d)))
        b = self.at8(self.from8(b) + up(self.to8(c)))
        a = self.at4(self.from4(a) + up(self.to4(b)))
        maps = self.maps(a).float()
        middles, joints = maps[:, : len(MIDDLES)], maps[:, len(MIDDLES) :]
        likely = torch.softmax(joints.detach().flatten(2), -1)
        found = torch.matmul(likely, a.float().flatten(2).transpose(1, 2))  # (N, 23, 64)
        return middles, joints, (found * self.seen).sum(-1) + self.seen_bias


def up(x: torch.Tensor) -> torch.Tensor:
    """Twice the size."""
    return functional.interpolate(x, scale_factor=2.0, mode="nearest")


def loss(out: tuple, joints: torch.Tensor, seen: torch.Tensor, *, sigma: float = 1.2) -> torch.Tensor:
    """Cross-entropy of each map against a small hill at the truth, and of what is seen.

    joints : (N, 23, 2) px of the picture; seen : (N, 23) 0 or 1; sigma : cells
    """
    middles, maps, sight = out
    pairs = joints[:, [5, 11, 13, 15, 7, 9]] + joints[:, [6, 12, 14, 16, 8, 10]]
    at = torch.cat([pairs / 2, joints], 1) / CELL - 0.5
    logits = torch.cat([middles, maps], 1).float()
    cells = torch.arange(CELLS, device=at.device, dtype=torch.float32)
    hill = torch.softmax(-((cells - at[..., None]) ** 2) / (2 * sigma**2), -1)  # (N, 29, 2, 48)
    along = torch.matmul(logits, hill[:, :, 0, :, None])[..., 0]
    cross = torch.logsumexp(logits.flatten(2), -1) - (along * hill[:, :, 1]).sum(-1)
    inside = ((at > -1) & (at < CELLS)).all(-1).float()
    weight = torch.cat([1.5 * torch.ones_like(seen[:, :6]), 0.5 + 0.5 * seen], 1) * inside
    weight[:, 4:6] *= 0.6
    sight_loss = functional.binary_cross_entropy_with_logits(sight.float(), seen)
    return (cross * weight).sum() / weight.sum() + 0.2 * sight_loss


def decoded(maps: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
    """Place of each map, (N, K, 2) px of the picture, and the maps as likelihoods."""
    n, k = maps.shape[:2]
    likely = torch.softmax(maps.float().flatten(2), -1)
    top = likely.argmax(-1)
    centre = torch.stack([top % CELLS, top // CELLS], -1).float() + 0.5
    cells = torch.arange(CELLS, device=maps.device) + 0.5
    grid = torch.stack(torch.meshgrid(cells, cells, indexing="xy"), -1).reshape(1, 1, -1, 2)
    for _ in range(2):
        near = ((grid - centre[:, :, None]) ** 2).sum(-1) <= 3.0**2
        weight = likely * near
        centre = (weight[..., None] * grid).sum(2) / weight.sum(-1, keepdim=True).clamp_min(1e-12)
    return centre * CELL, likely.reshape(n, k, CELLS, CELLS)


def confidence(places: torch.Tensor, likely: torch.Tensor) -> torch.Tensor:
    """Least share of likelihood within 0.35 of a trunk of the point, of the first four middles, (N,)."""
    trunk = (places[:, 0] - places[:, 1]).norm(dim=-1).clamp(14, 92)
    cells = (torch.arange(CELLS, device=places.device) + 0.5) * CELL
    grid = torch.stack(torch.meshgrid(cells, cells, indexing="xy"), -1)
    away = (grid - places[:, :4, None, None]).norm(dim=-1)
    return (likely[:, :4] * (away <= 0.35 * trunk[:, None, None, None])).sum((2, 3)).min(1).values
