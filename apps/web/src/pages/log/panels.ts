import type { SignalsResponse } from '@syncline/contract';
import type { PlotSeries } from '../../charts/plot-series.js';

/** A plot of signals that share a unit. */
export interface Panel {
  readonly id: string;
  readonly title: string;
  readonly heightPx: number;
  readonly signals: readonly string[];
  readonly isStepped: boolean;
}

/** Panels of a drive from top to bottom. Signals that a log lacks are left out, and so are empty panels. */
export const PANELS: readonly Panel[] = [
  {
    id: 'speed',
    title: 'Speeds',
    heightPx: 230,
    signals: ['inputSpeed', 'engineSpeed', 'outputSpeed'],
    isStepped: false,
  },
  { id: 'gear', title: 'Gears', heightPx: 84, signals: ['gear', 'gearTarget'], isStepped: true },
  {
    id: 'load',
    title: 'Load, pedal and converter duty',
    heightPx: 104,
    signals: ['load', 'pedal', 'converterDuty'],
    isStepped: false,
  },
  { id: 'pressure', title: 'Pressures', heightPx: 104, signals: ['applyPressure', 'linePressure'], isStepped: false },
];

/** The speeds alone: enough to find one's way in a drive while one shift is looked at. */
export const SPEED_PANEL: readonly Panel[] = PANELS.slice(0, 1);

const LINES = [
  { colour: '--series-1' },
  { colour: '--series-2', dash: [6, 3] },
  { colour: '--series-4', dash: [2, 3] },
] as const;

/** The signals that a log has of some panels, in the order of the panels. */
export function signalsOf(panels: readonly Panel[], available: readonly string[]): string[] {
  return panels.flatMap(({ signals }) => signals.filter((id) => available.includes(id)));
}

/** The lines of one panel, from what the server sent; each keeps its colour and pattern on every plot. */
export function linesOf(panel: Panel, sent: SignalsResponse): PlotSeries[] {
  return panel.signals.flatMap((id, index) => {
    const found = sent.series.find(({ signal }) => signal === id);
    if (found === undefined) return [];
    const { title, unit, min, max } = found;
    return [{ id, title, unit, min, max, isStepped: panel.isStepped, ...LINES[index] }];
  });
}
