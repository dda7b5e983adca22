// The Drift picture while it grows: accumulated gain of each balance in milliseconds against
// elapsed time, all on one pair of axes, the tolerance as a wedge from the origin. What is drawn
// comes from the server; only its place on the screen is worked out here.

import uPlot from 'uplot';
import type { LiveBalance } from '../wire/LiveBalance';
import { colourVariable, dashes, placeOf } from '../words/balances';
import { plain, signed } from '../words/numbers';

export interface Tolerance {
  from_s_per_d: number;
  to_s_per_d: number;
}

export interface DriftData {
  balances: LiveBalance[];
  duration_s: number;
  tolerance: Tolerance | null;
}

/** 1 s/d is 1,000 ms in 86,400 s. */
const MS_PER_S_AT_1_S_PER_D = 1000 / 86400;
const LEAST_SPAN_S = 10;
const LEAST_SPAN_MS = 0.4;
/** The wedge may widen the axis to so many times what the beats need, and is cut off beyond. */
const WEDGE_MAY_WIDEN = 3;
const DOT_PX = 1.7;

type Range = [number, number];

function gainRange(data: DriftData): Range {
  let [least, most] = [0, 0];
  for (const { drift } of data.balances) {
    drift.gain_ms.forEach((gain, n) => {
      if (!drift.used[n]) return;
      least = Math.min(least, gain);
      most = Math.max(most, gain);
    });
  }
  const short = LEAST_SPAN_MS - (most - least);
  if (short > 0) [least, most] = [least - short / 2, most + short / 2];
  if (data.tolerance) {
    const widest = (most - least) * WEDGE_MAY_WIDEN;
    for (const rate of [data.tolerance.from_s_per_d, data.tolerance.to_s_per_d]) {
      const at = rate * MS_PER_S_AT_1_S_PER_D * timeRange(data)[1];
      least = Math.min(least, Math.max(at, -widest));
      most = Math.max(most, Math.min(at, widest));
    }
  }
  const pad = (most - least) * 0.07;
  return [least - pad, most + pad];
}

function timeRange(data: DriftData): Range {
  // Room ahead, in steps, so that the picture does not slide with each beat.
  const wanted = Math.max(data.duration_s * 1.04, LEAST_SPAN_S);
  const step = 10 ** Math.floor(Math.log10(wanted)) / 2;
  return [0, Math.ceil(wanted / step) * step];
}

/** The line that the server's rate means, through the middle of the beats that it stands on. */
function fitOf(balance: LiveBalance): [Range, Range] | null {
  const rate = balance.numbers.rate_s_per_d;
  const { time_s, gain_ms, used } = balance.drift;
  if (!rate) return null;
  const slope = rate.value * MS_PER_S_AT_1_S_PER_D;
  let [sum, count, first, last] = [0, 0, Infinity, -Infinity];
  time_s.forEach((time, n) => {
    const gain = gain_ms[n];
    if (!used[n] || gain === undefined) return;
    sum += gain - slope * time;
    count++;
    first = Math.min(first, time);
    last = Math.max(last, time);
  });
  if (count < 2) return null;
  const at = (time: number): Range => [time, sum / count + slope * time];
  return [at(first), at(last)];
}

function timeWords(seconds: number): string {
  if (seconds < 120) return plain(seconds, Number.isInteger(seconds) ? 0 : 1);
  const [h, m, s] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
  const two = (n: number) => String(n).padStart(2, '0');
  return h > 0 ? `${h}:${two(m)} h` : `${m}:${two(Math.round(s))}`;
}

export class DriftPlot {
  #plot: uPlot;
  #data: DriftData = { balances: [], duration_s: 0, tolerance: null };

  constructor(private readonly box: HTMLElement) {
    this.#plot = this.#make(0);
  }

  show(data: DriftData) {
    const before = this.#data.balances.length;
    this.#data = data;
    if (data.balances.length !== before) this.restyle();
    else this.#plot.setData(this.#columns());
  }

  /** Anew: other colours, or another number of balances. */
  restyle() {
    this.#plot.destroy();
    this.#plot = this.#make(this.#data.balances.length);
  }

  resize(width: number, height: number) {
    this.#plot.setSize({ width, height });
  }

  destroy() {
    this.#plot.destroy();
  }

  #columns(): uPlot.AlignedData {
    const columns = this.#data.balances.map(({ drift }) => [drift.time_s, drift.gain_ms]);
    if (columns.length === 0) columns.push([[], []]);
    // uPlot's types know only its first mode; this is the data of its second, one x for each series.
    return [null, ...columns] as unknown as uPlot.AlignedData;
  }

  #ink(name: string): string {
    return getComputedStyle(this.box).getPropertyValue(name).trim();
  }

  #make(balances: number): uPlot {
    const [dim, rule] = [this.#ink('--dim'), this.#ink('--rule')];
    const axis = {
      stroke: dim,
      font: '12px Inter, sans-serif',
      labelFont: '12px Inter, sans-serif',
      ticks: { show: false },
      grid: { stroke: rule, width: 1 },
    };
    const options: uPlot.Options = {
      mode: 2,
      width: this.box.clientWidth || 600,
      height: this.box.clientHeight || 320,
      padding: [12, 22, 0, 0],
      legend: { show: false },
      cursor: { show: false },
      select: { show: false, left: 0, top: 0, width: 0, height: 0 },
      scales: {
        x: { time: false, range: () => timeRange(this.#data) },
        y: { range: () => gainRange(this.#data) },
      },
      axes: [
        {
          ...axis,
          size: 30,
          grid: { show: false },
          space: 64,
          incrs: [1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 14400, 43200],
          values: (_, splits) => splits.map(timeWords),
        },
        {
          ...axis,
          size: 50,
          space: 36,
          values: (_, splits, __, ___, step) => {
            const decimals = step >= 1 ? 0 : step >= 0.1 ? 1 : 2;
            return splits.map((split) => signed(split, decimals));
          },
        },
      ],
      series: [
        {},
        // Without a balance there are still axes to be drawn.
        ...Array.from({ length: Math.max(balances, 1) }, () => ({
          facets: [
            { scale: 'x', auto: true },
            { scale: 'y', auto: true },
          ],
          paths: (u: uPlot, at: number) => {
            this.#drawBalance(u, at - 1);
            return null;
          },
        })),
      ],
      hooks: { drawClear: [(u) => this.#drawWedge(u)] },
    };
    return new uPlot(options, this.#columns(), this.box);
  }

  #drawWedge(u: uPlot) {
    const { tolerance } = this.#data;
    const { ctx } = u;
    const { left, top, width, height } = u.bbox;
    const x = (time: number) => u.valToPos(time, 'x', true);
    const y = (gain: number) => u.valToPos(gain, 'y', true);
    ctx.save();
    ctx.beginPath();
    ctx.rect(left, top, width, height);
    ctx.clip();
    const [, end] = timeRange(this.#data);
    if (tolerance) {
      const at = (rate: number) => y(rate * MS_PER_S_AT_1_S_PER_D * end);
      ctx.beginPath();
      ctx.moveTo(x(0), y(0));
      ctx.lineTo(x(end), at(tolerance.to_s_per_d));
      ctx.lineTo(x(end), at(tolerance.from_s_per_d));
      ctx.closePath();
      ctx.fillStyle = this.#ink('--wedge');
      ctx.strokeStyle = this.#ink('--wedge-edge');
      ctx.lineWidth = uPlot.pxRatio;
      ctx.fill();
      ctx.stroke();
    }
    ctx.beginPath();
    ctx.moveTo(x(0), y(0));
    ctx.lineTo(x(end), y(0));
    ctx.strokeStyle = this.#ink('--edge');
    ctx.lineWidth = uPlot.pxRatio;
    ctx.stroke();
    ctx.restore();
  }

  #drawBalance(u: uPlot, at: number) {
    const balance = this.#data.balances[at];
    if (!balance) return;
    const place = placeOf(balance.numbers.label);
    const { ctx } = u;
    const ratio = uPlot.pxRatio;
    const { left, top, width, height } = u.bbox;
    const x = (time: number) => u.valToPos(time, 'x', true);
    const y = (gain: number) => u.valToPos(gain, 'y', true);
    const colour = this.#ink(colourVariable(place));
    ctx.save();
    ctx.beginPath();
    ctx.rect(left, top, width + 20 * ratio, height);
    ctx.clip();
    ctx.fillStyle = ctx.strokeStyle = colour;
    const { time_s, gain_ms, tock, used } = balance.drift;
    const radius = DOT_PX * ratio;
    ctx.lineWidth = 0.9 * ratio;
    time_s.forEach((time, n) => {
      const gain = gain_ms[n];
      if (gain === undefined) return;
      ctx.globalAlpha = used[n] ? 0.75 : 0.2;
      ctx.beginPath();
      ctx.arc(x(time), y(gain), radius, 0, 2 * Math.PI);
      // Tick is a full dot, tock a ring.
      if (tock[n]) ctx.stroke();
      else ctx.fill();
    });
    ctx.globalAlpha = 1;
    const fit = fitOf(balance);
    if (fit) {
      const [[fromTime, fromGain], [toTime, toGain]] = fit;
      ctx.setLineDash(dashes(place).map((length) => length * ratio));
      ctx.lineWidth = 2 * ratio;
      ctx.beginPath();
      ctx.moveTo(x(fromTime), y(fromGain));
      ctx.lineTo(x(toTime), y(toGain));
      ctx.stroke();
      ctx.setLineDash([]);
      ctx.font = `700 ${14 * ratio}px Inter, sans-serif`;
      ctx.textBaseline = 'middle';
      ctx.fillText(balance.numbers.label, x(toTime) + 7 * ratio, y(toGain));
    }
    ctx.restore();
  }
}
