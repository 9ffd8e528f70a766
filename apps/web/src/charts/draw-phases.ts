import type uPlot from 'uplot';
import { cssColour } from './css-colour.js';
import type { PlotMoment, PlotPhase } from './plot-series.js';

const LABEL_ROOM_PX = 5;

/** Draws phases behind the lines: a wash, hatched where asked, and a word at the top. Canvas pixels. */
export function drawPhases(plot: uPlot, phases: readonly PlotPhase[]): void {
  const { ctx, bbox } = plot;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  for (const phase of phases) {
    const left = plot.valToPos(phase.fromS, 'x', true);
    const right = plot.valToPos(phase.toS, 'x', true);
    ctx.globalAlpha = 0.13;
    ctx.fillStyle = cssColour(phase.colour);
    ctx.fillRect(left, bbox.top, right - left, bbox.height);
    ctx.globalAlpha = 0.3;
    if (phase.isHatched) hatch(ctx, { left, right, top: bbox.top, bottom: bbox.top + bbox.height }, phase.colour);
    ctx.globalAlpha = 1;
    writeInside(plot, phase.word, left, right);
  }
  ctx.restore();
}

/** Draws moments over the lines, each in its pattern. */
export function drawMoments(plot: uPlot, moments: readonly PlotMoment[]): void {
  // To read a colour makes the browser work out the styles of the page, which a zoom has just changed.
  if (moments.length === 0) return;
  const { ctx, bbox } = plot;
  ctx.save();
  ctx.strokeStyle = cssColour('--plot-ink');
  ctx.lineWidth = devicePixelRatio;
  for (const { timeS, dash } of moments) {
    const x = Math.round(plot.valToPos(timeS, 'x', true));
    if (x < bbox.left || x > bbox.left + bbox.width) continue;
    ctx.setLineDash(dash.map((length) => length * devicePixelRatio));
    ctx.beginPath();
    ctx.moveTo(x, bbox.top);
    ctx.lineTo(x, bbox.top + bbox.height);
    ctx.stroke();
  }
  ctx.restore();
}

function hatch(
  ctx: CanvasRenderingContext2D,
  box: Record<'left' | 'right' | 'top' | 'bottom', number>,
  colour: string,
): void {
  const step = 7 * devicePixelRatio;
  const height = box.bottom - box.top;
  ctx.save();
  ctx.beginPath();
  ctx.rect(box.left, box.top, box.right - box.left, height);
  ctx.clip();
  ctx.strokeStyle = cssColour(colour);
  ctx.lineWidth = devicePixelRatio;
  ctx.beginPath();
  for (let x = box.left - height; x < box.right; x += step) {
    ctx.moveTo(x, box.bottom);
    ctx.lineTo(x + height, box.top);
  }
  ctx.stroke();
  ctx.restore();
}

/** Writes a word at the top of a span; left out when the span is too narrow for it. */
function writeInside(plot: uPlot, word: string, left: number, right: number): void {
  const { ctx, bbox } = plot;
  ctx.font = `${11 * devicePixelRatio}px ${getComputedStyle(document.body).fontFamily}`;
  const room = LABEL_ROOM_PX * devicePixelRatio;
  if (ctx.measureText(word).width + 2 * room > right - left) return;
  ctx.fillStyle = cssColour('--plot-ink');
  ctx.textBaseline = 'top';
  ctx.textAlign = 'left';
  ctx.fillText(word, left + room, bbox.top + room);
}
