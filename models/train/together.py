"""Several processes of one host that train one network together, a GPU each.

:func:`launch` starts them. Each hears its own speech; the gradients are averaged, so that all
weights stay the same. In a process that is alone everything here does nothing.
"""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterable

import torch
import torch.distributed as dist
from torch import Tensor


def launch(count: int, module: str) -> int:
    """Run this command as ``count`` processes, and wait; when one fails the others end too."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    common = {"MASTER_ADDR": "127.0.0.1", "MASTER_PORT": str(port), "WORLD_SIZE": str(count)}
    running = [
        subprocess.Popen(
            [sys.executable, "-m", module, *sys.argv[1:]],
            env=os.environ | common | {"RANK": str(number)},
        )
        for number in range(count)
    ]
    ended = [process.poll() for process in running]
    while None in ended and not any(ended):
        time.sleep(0.5)
        ended = [process.poll() for process in running]
    for process in running:
        process.terminate()
        process.wait()
    return max(process.returncode or 0 for process in running) if any(ended) else 0


class Together:
    """This process among its fellows: its ``number``, and how many there are."""

    def __init__(self) -> None:
        self.number = int(os.environ.get("RANK", "0"))
        self.count = int(os.environ.get("WORLD_SIZE", "1"))
        self.device = "cuda" if torch.cuda.is_available() else "cpu"
        if self.device == "cuda":
            torch.cuda.set_device(int(os.environ.get("RANK", "0")))
        if self.count > 1:
            # NVLink multicast can put a shared host's GPUs out of service.
            os.environ["NCCL_NVLS_ENABLE"] = "0"
            dist.init_process_group("nccl" if self.device == "cuda" else "gloo")
            # Numbers of the processor's go this way, so that no process waits for its GPU.
            self.slow = dist.new_group(backend="gloo")

    def same(self, tensors: Iterable[Tensor]) -> None:
        """Give every process the tensors of process 0."""
        if self.count > 1:
            for tensor in tensors:
                dist.broadcast(tensor.data, 0)

    def average(self, weights: Iterable[torch.nn.Parameter]) -> None:
        """The mean of all processes' gradients, in one message."""
        if self.count == 1:
            return
        gradients = [weight.grad for weight in weights if weight.grad is not None]
        flat = torch.cat([gradient.reshape(-1) for gradient in gradients])
        dist.all_reduce(flat)
        flat /= self.count
        at = 0
        for gradient in gradients:
            gradient.copy_(flat[at : at + gradient.numel()].view_as(gradient))
            at += gradient.numel()

    def told(self, number: float) -> float:
        """What process 0 says."""
        if self.count == 1:
            return number
        said = torch.tensor([number], dtype=torch.float64)
        dist.broadcast(said, 0, group=self.slow)
        return float(said)

    def end(self) -> None:
        """Leave the others."""
        if self.count > 1:
            dist.destroy_process_group()
