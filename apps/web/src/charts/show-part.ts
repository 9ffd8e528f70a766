import uPlot from 'uplot';
import { holds, isSame, keepPicture, rangeOf, showPicture } from './part-picture.js';
import type { TimeRange } from './plot-frame.js';

/**
 * Shows another part of the time in all panels of a view. The next frame has the pictures that are there, stretched; a part
 * of what is shown is then drawn exactly from the samples that are there; after that `then` is called, to say so in
 * the address and to ask for what is missing.
 */
export function showPart(cursorKey: string, range: TimeRange, then: () => void): void {
  const { plots } = uPlot.sync(cursorKey);
  if (plots.every((plot) => isSame(rangeOf(plot), range))) return then();
  const isWithin = plots.every((plot) => holds(rangeOf(plot), range));
  for (const plot of plots) showPicture(plot, range);
  afterFrame(() => {
    if (!isWithin) return then();
    for (const plot of uPlot.sync(cursorKey).plots) showRange(plot, range);
    afterFrame(then);
  });
}

/** Draws another part; what was chosen by a drag is then no longer marked. */
export function showRange(plot: uPlot, { fromS, toS }: TimeRange): void {
  plot.setSelect({ left: 0, width: 0, top: 0, height: 0 }, false);
  plot.setScale('x', { min: fromS, max: toS });
}

/** Keeps how the panels of a view look, before another part of it is chosen. */
export function keepPictures(cursorKey: string): void {
  for (const plot of uPlot.sync(cursorKey).plots) keepPicture(plot);
}

/** When the next frame is painted. */
function afterFrame(then: () => void): void {
  requestAnimationFrame(() => setTimeout(then));
}
