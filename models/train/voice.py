"""The neural voice (Kokoro-82M) in batched PyTorch: symbols, style and speed become speech.

Only the inference path, written for big batches on a GPU. Two steps: :meth:`Voice.prosody` gives
the length of each symbol, and :meth:`Voice.speak` the sound for lengths of one's choice; so the
caller knows when each symbol is heard. One unit of length is 600 samples at 24 kHz (25 ms). All
rows given to ``speak`` need the same total length, because its instance norms see padding.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
import torch
import torch.nn.functional as F  # noqa: N812 - its name everywhere
from torch import Tensor

RATE = 24000
UNIT = 600  # samples for one unit of length
_LSTMS = {
    "/encoder/text_encoder/lstm": 512,
    "/encoder/predictor/text_encoder/lstms.0": 640,
    "/encoder/predictor/text_encoder/lstms.2": 640,
    "/encoder/predictor/text_encoder/lstms.4": 640,
    "/encoder/predictor/lstm": 640,
    "/encoder/shared": 640,
}


def _snake(x: Tensor, gain: Tensor, shift: Tensor, a: Tensor) -> Tensor:
    y = x * gain + shift
    return y + torch.sin(a * y) ** 2 / a


class Voice:
    """The synthesiser on one device; bfloat16 in the decoder's convolutions when on a GPU."""

    def __init__(self, weights: Mapping[str, np.ndarray], device: str = "cpu") -> None:
        self.device = device
        self.kind = torch.bfloat16 if device == "cuda" else torch.float32
        self.snake = torch.compile(_snake, dynamic=True) if device == "cuda" else _snake
        self.weights = {
            name: torch.as_tensor(np.array(value, dtype=np.float32)).to(device)
            for name, value in weights.items()
        }
        self.lstms = {name: self._lstm(name, size) for name, size in _LSTMS.items()}
        self.window = torch.hann_window(20, periodic=True, device=device)

    def _lstm(self, name: str, size: int) -> torch.nn.LSTM:
        lstm = torch.nn.LSTM(size, 256, 1, batch_first=True, bidirectional=True)
        # ONNX keeps the gates as input, output, forget, cell; PyTorch as input, forget, cell,
        # output.
        order = np.concatenate([np.arange(256) + 256 * gate for gate in (0, 2, 3, 1)])
        w, r, b = (self.weights[f"{name}/{part}"].cpu() for part in "WRB")
        for way, suffix in ((0, ""), (1, "_reverse")):
            getattr(lstm, "weight_ih_l0" + suffix).data = w[way].T[order].contiguous()
            getattr(lstm, "weight_hh_l0" + suffix).data = r[way].T[order].contiguous()
            getattr(lstm, "bias_ih_l0" + suffix).data = b[way][:1024][order].contiguous()
            getattr(lstm, "bias_hh_l0" + suffix).data = b[way][1024:][order].contiguous()
        lstm = lstm.to(self.device).eval()
        lstm.flatten_parameters()
        return lstm

    def _run_lstm(self, name: str, x: Tensor, lengths: Tensor | None) -> Tensor:
        if lengths is None:
            return self.lstms[name](x)[0]  # type: ignore[no-any-return]
        packed = torch.nn.utils.rnn.pack_padded_sequence(
            x, lengths, batch_first=True, enforce_sorted=False
        )
        return torch.nn.utils.rnn.pad_packed_sequence(self.lstms[name](packed)[0], True)[0]

    def _conv(self, x: Tensor, weight: str, bias: str | None = None, **how: int) -> Tensor:
        b = self.weights[bias].to(x.dtype) if bias else None
        return F.conv1d(x, self.weights[weight].to(x.dtype), b, **how)  # type: ignore[arg-type]

    def _linear(self, x: Tensor, weight: str, bias: str) -> Tensor:
        return x @ self.weights[weight] + self.weights[bias]

    def _gain_shift(self, x: Tensor, style: Tensor, path: str, name: str) -> tuple[Tensor, Tensor]:
        h = (style @ self.weights[path + "/fc"] + self.weights[name + ".fc.bias"])[:, :, None]
        gain, shift = h.chunk(2, 1)
        variance, mean = torch.var_mean(x.float(), 2, keepdim=True, unbiased=False)
        scale = torch.rsqrt(variance + 1e-5) * (1 + gain)
        return scale.to(x.dtype), (shift - mean * scale).to(x.dtype)

    def _styled(self, x: Tensor, style: Tensor, path: str, name: str) -> Tensor:
        gain, shift = self._gain_shift(x, style, path, name)
        return x * gain + shift

    def _block(self, x: Tensor, style: Tensor, path: str, name: str, up: bool = False) -> Tensor:
        w = self.weights
        h = F.leaky_relu(self._styled(x, style, path + "/norm1", name + ".norm1"), 0.2)
        if up:
            h = F.conv_transpose1d(
                h,
                w[path + "/pool"].to(h.dtype),
                w[name + ".pool.bias"].to(h.dtype),
                stride=2,
                padding=1,
                output_padding=1,
                groups=h.shape[1],
            )
        h = self._conv(h, path + "/conv1", name + ".conv1.bias", padding=1)
        h = F.leaky_relu(self._styled(h, style, path + "/norm2", name + ".norm2"), 0.2)
        h = self._conv(h, path + "/conv2", name + ".conv2.bias", padding=1)
        if up:
            x = F.interpolate(x, scale_factor=2, mode="nearest")
        if path + "/conv1x1" in w:
            x = self._conv(x, path + "/conv1x1")
        return (h + x) * math.sqrt(0.5)

    def _resonant(self, x: Tensor, style: Tensor, path: str, name: str, taps: int) -> Tensor:
        for i, d in enumerate((1, 3, 5)):
            h = x
            for part, dilation in (("1", d), ("2", 1)):
                alpha = self.weights[f"{name}.alpha{part}.{i}"].to(x.dtype)
                norm = f"adain{part}.{i}"
                gain, shift = self._gain_shift(h, style, f"{path}/{norm}", f"{name}.{norm}")
                h = self._conv(
                    self.snake(h, gain, shift, alpha),
                    f"{path}/convs{part}.{i}",
                    f"{name}.convs{part}.{i}.bias",
                    dilation=dilation,
                    padding=(taps - 1) * dilation // 2,
                )
            x = x + h
        return x

    def _albert(self, ids: Tensor, padding: Tensor) -> Tensor:
        w, embed, n = self.weights, "/encoder/bert/embeddings/", ids.shape[1]
        x = w[embed + "word_embeddings"][ids] + w[embed + "position_embeddings"][:n][None]
        x = x + w[embed + "token_type_embeddings"][0]

        def norm(x: Tensor, name: str) -> Tensor:
            return F.layer_norm(x, x.shape[-1:], w[name + "weight"], w[name + "bias"], 1e-12)

        x = norm(x, "encoder.bert.embeddings.LayerNorm.")
        mapping = "bert/encoder/embedding_hidden_mapping_in"
        x = self._linear(x, f"/encoder/{mapping}", f"encoder.{mapping.replace('/', '.')}.bias")
        path = "/encoder/bert/encoder/albert_layer_groups.0/albert_layers.0/"
        name = path[1:].replace("/", ".")
        mask = torch.zeros(padding.shape, device=x.device).masked_fill(padding, -1e9)
        for _ in range(12):
            heads = [
                self._linear(x, f"{path}attention/{part}", f"{name}attention.{part}.bias")
                .view(*x.shape[:2], 12, 64)
                .transpose(1, 2)
                for part in ("query", "key", "value")
            ]
            seen = F.scaled_dot_product_attention(*heads, attn_mask=mask[:, None, None, :])
            seen = seen.transpose(1, 2).reshape(x.shape)
            seen = self._linear(seen, path + "attention/dense", name + "attention.dense.bias")
            x = norm(x + seen, name + "attention.LayerNorm.")
            h = F.gelu(self._linear(x, path + "ffn", name + "ffn.bias"), approximate="tanh")
            h = self._linear(h, path + "ffn_output", name + "ffn_output.bias")
            x = norm(x + h, name + "full_layer_layer_norm.")
        return x

    @torch.no_grad()
    def prosody(
        self, texts: Sequence[Sequence[int]], style: Tensor, speed: Tensor
    ) -> tuple[Tensor, Tensor, Tensor, Tensor]:
        """Symbol numbers (0 at both ends), styles [B, 256], speeds [B] -> what ``speak`` takes.

        Returns the two encodings [B, n, 640] and [B, n, 512], lengths [B, n] in units (real
        numbers) and the padding mask [B, n].
        """
        w = self.weights
        lengths = torch.tensor([len(text) for text in texts])
        n = int(lengths.max())
        ids = torch.zeros(len(texts), n, dtype=torch.long)
        for row, text in enumerate(texts):
            ids[row, : len(text)] = torch.tensor(text)
        padding = (torch.arange(n)[None] >= lengths[:, None]).to(self.device)
        ids, pad = ids.to(self.device), padding[:, :, None]
        manner = style[:, 128:]
        x = self._linear(
            self._albert(ids, padding), "/encoder/bert_encoder", "encoder.bert_encoder.bias"
        )
        beside = manner[:, None].expand(-1, n, -1)
        x = torch.cat([x, beside], 2).masked_fill(pad, 0)
        for i in (0, 2, 4):
            path = "/encoder/predictor/text_encoder/lstms"
            x = self._run_lstm(f"{path}.{i}", x, lengths)
            bias = w[f"encoder.predictor.text_encoder.lstms.{i + 1}.fc.bias"]
            gain, shift = (manner @ w[f"{path}.{i + 1}/fc"] + bias)[:, None].chunk(2, 2)
            x = (1 + gain) * F.layer_norm(x, (512,), eps=1e-5) + shift
            x = torch.cat([x, beside], 2).masked_fill(pad, 0)
        spoken = self._run_lstm("/encoder/predictor/lstm", x, lengths)
        units = self._linear(
            spoken,
            "/encoder/predictor/duration_proj/linear_layer",
            "encoder.predictor.duration_proj.linear_layer.bias",
        )
        units = torch.sigmoid(units).sum(2) / speed[:, None]
        t = w["/encoder/text_encoder/embedding"][ids].masked_fill(pad, 0)
        for i in range(3):
            name = f"encoder.text_encoder.cnn.{i}"
            path = f"/encoder/text_encoder/cnn.{i}/cnn.{i}.0"
            t = self._conv(t.transpose(1, 2), path, name + ".0.bias", padding=2).transpose(1, 2)
            t = F.layer_norm(t, (512,), w[name + ".1.gamma"], w[name + ".1.beta"], 1e-5)
            t = F.leaky_relu(t, 0.2).masked_fill(pad, 0)
        t = self._run_lstm("/encoder/text_encoder/lstm", t, lengths).masked_fill(pad, 0)
        return x, t, units.masked_fill(padding, 0), padding

    @torch.no_grad()
    def speak(
        self,
        encoded: Tensor,
        text: Tensor,
        units: Tensor,
        style: Tensor,
        pitch: Tensor | None = None,
        liveliness: Tensor | None = None,
    ) -> Tensor:
        """Speech [B, 600 * total] at 24 kHz for whole lengths ``units`` [B, n].

        ``pitch`` and ``liveliness`` [B] multiply the mean of the pitch and its spread.
        """
        total, rows = int(units[0].sum()), len(encoded)
        ends = units.cumsum(1)
        at = torch.arange(total, device=self.device)[None].expand(rows, -1).contiguous()
        index = torch.searchsorted(ends, at, right=True).clamp_max(encoded.shape[1] - 1)[:, :, None]
        x = torch.gather(encoded, 1, index.expand(-1, -1, encoded.shape[2]))
        spoken = torch.gather(text, 1, index.expand(-1, -1, 512)).transpose(1, 2)
        manner, timbre = style[:, 128:], style[:, :128]
        x = self._run_lstm("/encoder/shared", x, None).transpose(1, 2)
        curves = []
        for kind in ("F0", "N"):
            h = x
            for i in range(3):
                path, name = f"/encoder/{kind}.{i}", f"encoder.predictor.{kind}.{i}"
                h = self._block(h, manner, path, name, up=i == 1)
            bias = f"encoder.predictor.{kind}_proj.bias"
            curves.append(self._conv(h, f"/encoder/{kind}_proj", bias))
        hertz, energy = curves
        if pitch is not None and liveliness is not None:
            voiced = hertz > 10
            mean = (hertz * voiced).sum(2, keepdim=True) / voiced.sum(2, keepdim=True).clamp_min(1)
            moved = (mean + (hertz - mean) * liveliness[:, None, None]) * pitch[:, None, None]
            hertz = torch.where(voiced, moved, hertz)
        path, name = "/decoder/decoder/", "decoder.decoder."
        f = self._conv(hertz, path + "F0_conv", name + "F0_conv.bias", stride=2, padding=1)
        e = self._conv(energy, path + "N_conv", name + "N_conv.bias", stride=2, padding=1)
        f, e, spoken = f.to(self.kind), e.to(self.kind), spoken.to(self.kind)
        x = torch.cat([spoken, f, e], 1)
        x = self._block(x, timbre, path + "encode", name + "encode")
        aside = self._conv(spoken, path + "asr_res/asr_res.0", name + "asr_res.0.bias")
        for i in range(4):
            x = torch.cat([x, aside, f, e], 1)
            x = self._block(x, timbre, f"{path}decode.{i}", f"{name}decode.{i}", up=i == 3)
        return self._generate(x, self._source(hertz[:, 0]), timbre)

    def _source(self, hertz: Tensor) -> Tensor:
        """The voice source: nine harmonics and noise, as magnitude and phase."""
        harmonics = torch.arange(1, 10, device=self.device)[None, :, None]
        turns = (hertz[:, None] * harmonics / RATE) % 1
        phase = torch.cumsum(turns, 2) * 2 * math.pi * 300
        phase = F.interpolate(phase, scale_factor=300, mode="linear")
        voiced = (hertz.repeat_interleave(300, 1)[:, None] > 10).float()
        waves = torch.sin(phase) * 0.1 * voiced
        waves = waves + torch.randn_like(waves) * (voiced * 0.003 + (1 - voiced) * 0.1 / 3)
        bias = self.weights["decoder.decoder.generator.m_source.l_linear.bias"]
        mixed = torch.tanh((waves * self.weights["l_linear"].view(1, 9, 1)).sum(1) + bias)
        spectrum = torch.stft(mixed, 20, 5, 20, window=self.window, return_complex=True)
        return torch.cat([spectrum.abs(), spectrum.angle()], 1).to(self.kind)

    def _generate(self, x: Tensor, source: Tensor, timbre: Tensor) -> Tensor:
        w = self.weights
        path, name = "/decoder/decoder/generator/", "decoder.decoder.generator."
        for i, (stride, taps, noise_taps) in enumerate(((10, 20, 7), (6, 12, 11))):
            x = F.leaky_relu(x, 0.1)
            how = {"stride": 6, "padding": 3} if i == 0 else {}
            beside = self._conv(
                source, f"{path}noise_convs.{i}", f"{name}noise_convs.{i}.bias", **how
            )
            beside = self._resonant(
                beside, timbre, f"{path}noise_res.{i}", f"{name}noise_res.{i}", noise_taps
            )
            weight, bias = w[f"{path}ups.{i}"].to(x.dtype), w[f"{name}ups.{i}.bias"].to(x.dtype)
            pad = (taps - stride) // 2
            x = F.conv_transpose1d(x, weight, bias, stride=stride, padding=pad)
            if i == 1:
                x = F.pad(x, (1, 0), "reflect")
            x = x + beside
            parts = [
                self._resonant(x, timbre, f"{path}resblocks.{k}", f"{name}resblocks.{k}", size)
                for k, size in ((3 * i, 3), (3 * i + 1, 7), (3 * i + 2, 11))
            ]
            x = (parts[0] + parts[1] + parts[2]) / 3
        x = self._conv(
            F.leaky_relu(x), path + "conv_post", name + "conv_post.bias", padding=3
        ).float()
        spectrum = torch.polar(torch.exp(x[:, :11]), torch.sin(x[:, 11:]))
        return torch.istft(spectrum, 20, 5, 20, window=self.window)
