"""The lessons: pictures made on the fly, steps counted, seeds fixed, checkpoints that the next call goes on from.

On one or more graphics cards: `torchrun --nproc_per_node 2 -m training.lessons --data D --out O --stop-after 530`.
On a processor, slowly, to check it: `python -m training.lessons --data D --out O --batch 8 --until 5 --processor`.
The rate is constant after a warm-up until step `--fall-from`, then falls to nothing at `--until`.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import torch
from torch import nn

from training import scenes
from training.drawing import Painter
from training.network import Folded, confidence, decoded, loss


class Scenes(torch.utils.data.Dataset):
    """The scenes of one step; the seed is the run's, the step and the card."""

    def __init__(self, source: scenes.Source, told: argparse.Namespace, rank: int) -> None:
        self.source, self.told, self.rank = source, told, rank

    def __len__(self) -> int:
        return 1 << 30

    def __getitem__(self, step: int) -> dict[str, torch.Tensor]:
        drawn = scenes.scenes(self.source, self.told.batch, [self.told.seed, self.rank, step])
        return {k: torch.from_numpy(v) for k, v in drawn.items()}


def rate(step: int, told: argparse.Namespace) -> float:
    """Of the step size, its share at a step."""
    warm = min(1.0, (step + 1) / 600)
    if step < told.fall_from:
        return warm
    return warm * max(0.0, 1 - (step - told.fall_from) / max(1, told.until - told.fall_from)) ** 1.0


def main() -> None:
    """Teach, from the checkpoint in the folder or from the start."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--data", type=Path, required=True)
    asked.add_argument("--out", type=Path, required=True)
    asked.add_argument("--resume", type=Path)
    asked.add_argument("--batch", type=int, default=512)
    asked.add_argument("--seed", type=int, default=8)
    asked.add_argument("--until", type=int, default=10**9)
    asked.add_argument("--fall-from", type=int, default=10**9)
    asked.add_argument("--stop-after", type=float, default=1e9)
    asked.add_argument("--rate", type=float, default=2e-3)
    asked.add_argument("--workers", type=int, default=6)
    asked.add_argument("--processor", action="store_true")
    asked.add_argument("--no-compile", action="store_true")
    teach(asked.parse_args())


def teach(told: argparse.Namespace) -> None:
    """One call's lessons."""
    begun = time.time()
    cards = int(os.environ.get("WORLD_SIZE", "1"))
    rank = int(os.environ.get("RANK", "0"))
    device = (
        torch.device("cpu")
        if told.processor
        else torch.device("cuda", int(os.environ.get("LOCAL_RANK", "0")))
    )
    if not told.processor:
        torch.cuda.set_device(device)
        torch.backends.cudnn.benchmark = True
        torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    if cards > 1:
        torch.distributed.init_process_group("nccl", device_id=device)
    torch.manual_seed(told.seed)
    net = Folded().to(device, memory_format=torch.channels_last)
    taught = Pupil(net, told, rank, cards)
    source = scenes.source(told.data / "bodies.npz", told.data / "poses.npz")
    painter = Painter(told.data / "bodies.npz", told.batch, None if told.processor else device)
    loader = torch.utils.data.DataLoader(
        Scenes(source, told, rank), batch_size=None, sampler=range(taught.step, min(told.until, taught.step + 10**7)),
        num_workers=told.workers, pin_memory=not told.processor, prefetch_factor=4 if told.workers else None,
    )  # fmt: skip
    pictures = drawn_ahead(loader, painter, device)
    print(f"card {rank}: begins at step {taught.step} after {time.time() - begun:.1f} s", flush=True)
    told_at, saved_at, since = time.time(), time.time(), taught.step
    for image, joints, seen in pictures:
        value = taught.learn(image, joints, seen)
        if taught.step % 200 == 0 or taught.step - taught.begun in (1, 5, 20, 60) or told.processor:
            shown = float(value)
            if not np.isfinite(shown):
                raise SystemExit(
                    f"step {taught.step}: the loss is {shown}; "
                    f"pictures hold {int((~image.isfinite()).sum())} numbers that are none"
                )
            if rank == 0:
                speed = (taught.step - since) * told.batch * cards / (time.time() - told_at)
                print(
                    f"step {taught.step} loss {shown:.3f} {speed:.0f} pictures/s {time.time() - begun:.0f} s",
                    flush=True,
                )
            told_at, since = time.time(), taught.step
        over = torch.tensor([float(time.time() - begun > told.stop_after)], device=device)
        if taught.step % 20 == 0 and cards > 1:
            torch.distributed.all_reduce(over)
        stop = taught.step >= told.until or (taught.step % 20 == 0 and float(over) > 0)
        if rank == 0 and (stop or time.time() - saved_at > 150):
            taught.save(told.out)
            saved_at = time.time()
        if stop:
            break
    if rank == 0:
        judged(taught.mean_net(), source, painter, told, device)
    if cards > 1:
        torch.distributed.barrier()
        torch.distributed.destroy_process_group()
    print(f"card {rank}: ends at step {taught.step} after {time.time() - begun:.1f} s", flush=True)
    os._exit(0)  # the loader's workers need not be waited for


def drawn_ahead(
    loader: torch.utils.data.DataLoader, painter: Painter, device: torch.device
) -> Iterator[tuple[torch.Tensor, ...]]:
    """Pictures, joints and what is seen; on a card the next batch is drawn while this one is learnt from."""
    if device.type == "cpu":
        for scene in loader:
            out = painter.draw({k: v.numpy() for k, v in scene.items()})
            image, joints, seen = (torch.from_numpy(v.copy()) for v in out)
            yield image.permute(0, 3, 1, 2), joints, seen
        return
    stream = torch.cuda.Stream(device)
    ahead = None
    for scene in loader:
        with torch.cuda.stream(stream):
            there = {k: v.to(device, non_blocking=True) for k, v in scene.items()}
            out = tuple(v.clone() for v in painter.draw(there, stream.cuda_stream))
            done = torch.cuda.Event()
            done.record(stream)
        if ahead is not None:
            yield ready(*ahead)
        ahead = (out, done)
    if ahead is not None:
        yield ready(*ahead)


def ready(out: tuple, done: torch.cuda.Event) -> tuple:
    """Wait on the card until a batch is drawn."""
    here = torch.cuda.current_stream()
    here.wait_event(done)
    for v in out:
        v.record_stream(here)
    image, joints, seen = out
    return image.permute(0, 3, 1, 2), joints, seen


class Pupil:
    """The network with its optimiser and the running mean of its weights."""

    def __init__(self, net: Folded, told: argparse.Namespace, rank: int, cards: int) -> None:
        self.net, self.told, self.rank, self.step = net, told, rank, 0
        self.kind = "cpu" if told.processor else "cuda"
        decay = [p for p in net.parameters() if p.ndim > 1]
        rest = [p for p in net.parameters() if p.ndim <= 1]
        groups = [{"params": decay, "weight_decay": 0.02}, {"params": rest, "weight_decay": 0.0}]
        self.by = torch.optim.AdamW(groups, lr=told.rate, betas=(0.9, 0.99), fused=not told.processor)
        self.names = {id(p): n for n, p in net.named_parameters()}
        self.mean = {k: v.detach().clone() for k, v in net.state_dict().items()}
        self.calls: list[dict] = []
        if told.resume:
            self.restore(told.resume)
        self.runs: nn.Module = net if told.no_compile or told.processor else torch.compile(net)
        if cards > 1:
            self.runs = nn.parallel.DistributedDataParallel(
                self.runs,
                device_ids=[torch.cuda.current_device()],
                broadcast_buffers=False,
                gradient_as_bucket_view=True,
            )
        self.begun = self.step

    def learn(self, image: torch.Tensor, joints: torch.Tensor, seen: torch.Tensor) -> torch.Tensor:
        """One step."""
        for group in self.by.param_groups:
            group["lr"] = self.told.rate * rate(self.step, self.told)
        with torch.autocast(self.kind, torch.bfloat16, enabled=self.kind == "cuda"):
            out = self.runs(image)
        value = loss(out, joints, seen)
        value.backward()
        torch.nn.utils.clip_grad_norm_(self.net.parameters(), 5.0)
        self.by.step()
        self.by.zero_grad(set_to_none=True)
        self.step += 1
        keep = min(0.9995, self.step / (self.step + 20))
        with torch.no_grad():
            now = self.net.state_dict()
            floats = [k for k, v in self.mean.items() if v.is_floating_point()]
            torch._foreach_lerp_([self.mean[k] for k in floats], [now[k] for k in floats], 1 - keep)
        return value.detach()

    def mean_net(self) -> Folded:
        """The network with the running mean of the weights."""
        net = Folded().to(next(self.net.parameters()).device)
        net.load_state_dict(self.mean)
        return net.eval()

    def save(self, out: Path) -> None:
        """Four files, none over 16 MiB."""
        out.mkdir(parents=True, exist_ok=True)
        torch.save(self.net.state_dict(), out / "net.pt")
        torch.save(
            {k: v.half() if v.is_floating_point() else v for k, v in self.mean.items()}, out / "mean.pt"
        )
        memory = {
            self.names[id(p)]: (s["exp_avg"].bfloat16(), s["exp_avg_sq"].bfloat16())
            for p, s in self.by.state.items()
        }
        torch.save(memory, out / "memory.pt")
        call = {
            "from": self.begun,
            "to": self.step,
            "batch": self.told.batch * int(os.environ.get("WORLD_SIZE", "1")),
        }
        call |= {k: getattr(self.told, k) for k in ("seed", "rate", "fall_from", "until")}
        data = {
            n: hashlib.sha256((self.told.data / n).read_bytes()).hexdigest()
            for n in ("bodies.npz", "poses.npz")
        }
        (out / "state.json").write_text(
            json.dumps({"step": self.step, "calls": [*self.calls, call], "data": data})
        )

    def restore(self, folder: Path) -> None:
        """Go on from where the last call was cut."""
        device = next(self.net.parameters()).device
        self.net.load_state_dict(torch.load(folder / "net.pt", map_location=device, weights_only=True))
        mean = torch.load(folder / "mean.pt", map_location=device, weights_only=True)
        self.mean = {k: v.to(self.mean[k].dtype) for k, v in mean.items()}
        state = json.loads((folder / "state.json").read_text())
        self.step, self.calls = state["step"], state["calls"]
        memory = torch.load(folder / "memory.pt", map_location=device, weights_only=True)
        for p in self.net.parameters():
            first, second = memory[self.names[id(p)]]
            self.by.state[p] = {
                "step": torch.tensor(float(self.step), device=device),
                "exp_avg": first.float(),
                "exp_avg_sq": second.float(),
            }


@torch.no_grad()
def judged(
    net: Folded, source: scenes.Source, painter: Painter, told: argparse.Namespace, device: torch.device
) -> None:
    """How it does on scenes that no lesson used: usable, error in px, confidence of right and wrong."""
    rows = []
    for i in range(8 if device.type == "cuda" else 1):
        drawn = scenes.scenes(source, told.batch, [told.seed, 999, i])
        if device.type == "cuda":
            stream = torch.cuda.current_stream()
            there = {k: torch.from_numpy(v).to(device) for k, v in drawn.items()}
            image, joints, _ = (v.clone() for v in painter.draw(there, stream.cuda_stream))
        else:
            image, joints, _ = (torch.from_numpy(v.copy()) for v in painter.draw(drawn))
        for part in range(0, len(image), 128):
            x = image[part : part + 128].permute(0, 3, 1, 2).float()
            places, likely = decoded(net(x)[0])
            truth = (
                joints[part : part + 128][:, [5, 11, 13, 15, 7, 9]]
                + joints[part : part + 128][:, [6, 12, 14, 16, 8, 10]]
            ) / 2
            inside = ((truth[:, :4] > 0) & (truth[:, :4] < 192)).all(-1).all(-1)
            trunk = (truth[:, 0] - truth[:, 1]).norm(dim=-1)
            off = (places - truth).norm(dim=-1)
            rows.append(
                torch.stack(
                    [
                        confidence(places, likely),
                        (off[:, :4] / trunk[:, None]).max(1).values,
                        trunk,
                        off[:, :4].mean(1),
                    ],
                    1,
                )[inside & (trunk > 14)].cpu()
            )
    table = torch.cat(rows).numpy()
    usable = table[:, 1] < 0.35
    print(
        f"unseen scenes {len(table)}: usable {usable.mean():.3f}, median error {np.median(table[:, 3]):.2f} px"
    )
    for t in (0.5, 0.6, 0.7, 0.8, 0.9):
        kept = table[:, 0] > t
        print(f"confidence > {t}: kept {kept.mean():.3f}, wrong {(~usable[kept]).mean():.4f}")
    np.savez_compressed(told.out / "judged.npz", table=table.astype(np.float32))


if __name__ == "__main__":
    main()
