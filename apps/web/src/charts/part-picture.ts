import type uPlot from 'uplot';
import { cssColour } from './css-colour.js';
import classes from './part-picture.module.css';
import type { TimeRange } from './plot-frame.js';

/** A copy of what a plot shows. */
interface Picture {
  readonly range: TimeRange;
  readonly canvas: HTMLCanvasElement;
}

/** A part of a plot (px of the page, from its corner). */
interface Frame {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** Pictures of one plot, laid over it unseen. To show one is work for the compositor alone: nothing is drawn. */
interface Overlay {
  readonly numbers: HTMLDivElement;
  readonly area: HTMLDivElement;
  /** As it stood over the widest part that was seen, and as it stands, if that is another. */
  pictures: readonly Picture[];
  /** Whether the one that lies there has the frame of the whole plot, instead of its lines alone. */
  isWhole: boolean;
}

/** Quite solid, a layer would be put together anew with all others of the page, which takes longer than all the rest. */
const SHOWN = '0.999';

const overlays = new WeakMap<uPlot, Overlay>();

/** Keeps how a plot looks, for a part of it that may be asked for, and for the way back from there. */
export function keepPicture(plot: uPlot): void {
  const overlay = overlays.get(plot) ?? makeOverlay(plot);
  const range = rangeOf(plot);
  const [widest] = overlay.pictures;
  const isPart = widest !== undefined && fits(widest, plot) && holds(widest.range, range);
  if (isPart && isSame(widest.range, range)) overlay.pictures = [widest];
  else overlay.pictures = [...(isPart ? [widest] : []), { range, canvas: copyOf(plot) }];
  lay(overlay, overlay.pictures.at(-1), plotArea(plot));
}

/**
 * Stretches the last picture to a part that may be asked for next, unseen: one that is stretched as it is shown has the
 * browser put all layers together anew as well.
 */
export function stretchPicture(plot: uPlot, range: TimeRange): void {
  const last = overlays.get(plot)?.pictures.at(-1);
  if (last !== undefined && fits(last, plot)) stretch(last, range, plot);
}

/**
 * Lays over the plot the picture of just this part, or the last one stretched to it. Numbers of the time axis that would
 * be wrong are covered: to write others would have the browser paint the page, which is most of the time there is.
 */
export function showPicture(plot: uPlot, range: TimeRange): void {
  const overlay = overlays.get(plot);
  const last = overlay?.pictures.at(-1);
  if (overlay === undefined || last === undefined || !fits(last, plot)) return;
  const exact = overlay.pictures.find((kept) => isSame(kept.range, range));
  // Of what is not in the picture nothing can be shown: the plot stays as it is until it is drawn.
  if (exact === undefined && !holds(last.range, range)) return;
  if (exact !== undefined) lay(overlay, exact, { left: 0, top: 0, width: plot.width, height: plot.height });
  else {
    if (overlay.area.firstChild !== last.canvas || overlay.isWhole) lay(overlay, last, plotArea(plot));
    stretch(last, range, plot);
  }
  setOpacity(overlay, SHOWN);
}

/** Lays out one picture so that a frame of it is seen; what is done here need not be done when it is shown. */
function lay(overlay: Overlay, picture: Picture | undefined, frame: Frame): void {
  if (picture === undefined) return;
  const { area } = overlay;
  // One that is taken away while it is seen would be seen when it comes back.
  setOpacity(overlay, '0');
  overlay.isWhole = frame.left === 0;
  for (const side of ['left', 'top', 'width', 'height'] as const) area.style[side] = `${frame[side]}px`;
  const { style } = picture.canvas;
  Object.assign(style, { left: `${-frame.left}px`, top: `${-frame.top}px`, transform: 'none' });
  style.transformOrigin = `${frame.left}px 0`;
  area.replaceChildren(picture.canvas);
}

/** The plot itself shows the part now. */
export function hidePicture(plot: uPlot): void {
  const overlay = overlays.get(plot);
  if (overlay !== undefined) setOpacity(overlay, '0');
}

/** Of each layer by itself: as a group they would be drawn to a picture of their own first. */
function setOpacity({ numbers, area }: Overlay, opacity: string): void {
  for (const element of [numbers, ...area.children]) (element as HTMLElement).style.opacity = opacity;
}

export function rangeOf({ scales }: uPlot): TimeRange {
  return { fromS: scales['x']?.min ?? 0, toS: scales['x']?.max ?? 0 };
}

export function holds(outer: TimeRange, { fromS, toS }: TimeRange): boolean {
  return fromS >= outer.fromS && toS <= outer.toS;
}

export function isSame(one: TimeRange, { fromS, toS }: TimeRange): boolean {
  return fromS === one.fromS && toS === one.toS;
}

/** What covers the numbers of the time axis lies below the picture, which has its own where it is the whole plot. */
function makeOverlay(plot: uPlot): Overlay {
  const [root, numbers, area] = [classes.root, classes.numbers, classes.area].map((name) => {
    const element = document.createElement('div');
    element.className = name ?? '';
    return element;
  }) as [HTMLDivElement, HTMLDivElement, HTMLDivElement];
  const { top, height } = plotArea(plot);
  numbers.style.height = `${plot.height - top - height}px`;
  root.ariaHidden = 'true';
  root.append(numbers, area);
  plot.over.after(root);
  const made: Overlay = { numbers, area, pictures: [], isWhole: false };
  overlays.set(plot, made);
  return made;
}

function copyOf(plot: uPlot): HTMLCanvasElement {
  const { canvas: drawn } = plot.ctx;
  const canvas = document.createElement('canvas');
  canvas.width = drawn.width;
  canvas.height = drawn.height;
  canvas.style.width = `${plot.width}px`;
  canvas.style.height = `${plot.height}px`;
  const context = canvas.getContext('2d');
  if (context === null) return canvas;
  context.fillStyle = cssColour('--surface');
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.drawImage(drawn, 0, 0);
  return canvas;
}

function fits({ canvas }: Picture, { ctx }: uPlot): boolean {
  return canvas.width === ctx.canvas.width && canvas.height === ctx.canvas.height;
}

/** Where the lines are drawn. */
function plotArea({ bbox }: uPlot): Frame {
  const [left, top, width, height] = [bbox.left, bbox.top, bbox.width, bbox.height].map(
    (length) => length / devicePixelRatio,
  ) as [number, number, number, number];
  return { left, top, width, height };
}

/** Moves and widens a picture so that a part of it fills the width. */
function stretch({ range: drawn, canvas }: Picture, { fromS, toS }: TimeRange, plot: uPlot): void {
  const scale = (drawn.toS - drawn.fromS) / (toS - fromS);
  const fromPx = (plotArea(plot).width * (fromS - drawn.fromS)) / (drawn.toS - drawn.fromS);
  canvas.style.transform = `translateX(${-fromPx * scale}px) scaleX(${scale})`;
}
