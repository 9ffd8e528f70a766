import type { RevisionContent, TableContent } from '@syncline/calibration';
import { matchedContent, storeValue } from '../matched-content.js';
import { TERN_GEARBOX, TERN_LAYOUT } from './platform.js';

/** The three revisions of the demo: a first map, one that mends much of it and spoils a corner, and a good one. */
export type TernRevision = 'r1' | 'r2' | 'r3';

/** The revisions in order, with the message that their author gave. */
export const TERN_REVISIONS: readonly { readonly id: TernRevision; readonly message: string }[] = [
  { id: 'r1', message: 'First map, from the bench' },
  { id: 'r2', message: 'More pressure for 2-3 and 3-4 under load, shorter fill when cold, softer 4-5' },
  { id: 'r3', message: '4-5 under load put back up; hot fluid and light load trimmed' },
];

/** How a revision departs from tables that suit the gearbox, at a node. */
interface Departure {
  /** Factor by shift, load (%) and input speed (rpm). */
  readonly basePressure: (shift: string, load: number, inputSpeed: number) => number;
  /** Factor by temperature (°C). */
  readonly temperatureFactor: (temperature: number) => number;
  /** Added by clutch and temperature (ms). */
  readonly fillTimeMs: (clutch: string, temperature: number) => number;
  /** Added by load (ms). */
  readonly releaseTimeMs: (load: number) => number;
  /** Added by shift and load (N·m). */
  readonly holdTorqueNm: (shift: string, load: number) => number;
}

const DEPARTURES: Readonly<Record<TernRevision, Departure>> = {
  r1: {
    basePressure: (shift, load, inputSpeed) => {
      const light = 1 + 0.35 * (1 - rise(load, 10, 40));
      if (shift === '2-3' || shift === '3-4') return light * (1 - 0.41 * rise(load, 10, 50));
      return light * (1 - 0.12 * rise(load, 40, 80) - 0.03 * Math.sin(inputSpeed / 500));
    },
    temperatureFactor: (temperature) => 1 - 0.1 * rise(temperature, 60, 115),
    fillTimeMs: (clutch, temperature) => (UPSHIFT_CLUTCHES.includes(clutch) ? 140 * rise(-temperature, -70, -15) : 0),
    releaseTimeMs: (load) => 120 * (1 - rise(load, 10, 50)),
    holdTorqueNm: (shift, load) => (EARLY_HOLD_NM[shift] ?? 0) * (1 - rise(load, 10, 70)),
  },
  r2: {
    basePressure: (shift, load, inputSpeed) => {
      const light = 1 + 0.12 * (1 - rise(load, 10, 40));
      if (shift === '2-3' || shift === '3-4') return light * (1 - 0.07 * rise(load, 25, 65));
      if (shift === '4-5') return light * (1 - 0.27 * rise(load, 20, 60));
      return light * (1 - 0.03 * Math.sin(inputSpeed / 500));
    },
    temperatureFactor: (temperature) => 1 - 0.05 * rise(temperature, 60, 115),
    fillTimeMs: (clutch, temperature) => (UPSHIFT_CLUTCHES.includes(clutch) ? 25 * rise(-temperature, -50, 0) : 0),
    releaseTimeMs: (load) => 40 * (1 - rise(load, 10, 50)),
    holdTorqueNm: (shift, load) => 0.35 * (EARLY_HOLD_NM[shift] ?? 0) * (1 - rise(load, 10, 70)),
  },
  r3: {
    basePressure: (shift, load, inputSpeed) => {
      const ripple = 1.01 + 0.015 * Math.sin(load / 17 + inputSpeed / 700);
      return shift === '2-3' || shift === '3-4' ? ripple - 0.24 * rise(load, 45, 70) : ripple;
    },
    temperatureFactor: (temperature) => 1 - 0.03 * rise(temperature, 80, 115),
    fillTimeMs: () => 0,
    releaseTimeMs: () => 0,
    holdTorqueNm: () => 0,
  },
};

const UPSHIFT_CLUTCHES = ['B', 'C', 'E'];

/** What the first map asked the off-going clutches of upshifts to hold beyond need at light load (N·m). */
const EARLY_HOLD_NM: Readonly<Record<string, number>> = { '1-2': 200, '2-3': 320, '3-4': 320, '4-5': 200, '5-6': 200 };

/** Content of a revision of the Tern; the same values each time. */
export function ternCalibration(revision: TernRevision): RevisionContent {
  const matched = matchedContent(TERN_GEARBOX, TERN_LAYOUT);
  const departure = DEPARTURES[revision];
  return {
    ...matched,
    tables: {
      ...matched.tables,
      basePressure: changed(
        matched,
        'basePressure',
        (value, shift, load, input) => value * departure.basePressure(shift, load, input),
      ),
      temperatureFactor: changed(matched, 'temperatureFactor', (value, _, t) => value * departure.temperatureFactor(t)),
      fillTime: changed(matched, 'fillTime', (value, clutch, t) => value + departure.fillTimeMs(clutch, t)),
      holdTorque: changed(matched, 'holdTorque', (value, shift, load) => value + departure.holdTorqueNm(shift, load)),
      releaseTime: changed(matched, 'releaseTime', (value, _, load) => value + departure.releaseTimeMs(load)),
    },
  };
}

/** A table with every node changed, kept rising along its first axis where the layout demands it. */
function changed(
  content: RevisionContent,
  id: string,
  change: (value: number, variant: string, first: number, second: number) => number,
): TableContent {
  const spec = TERN_LAYOUT.tables.find((table) => table.id === id);
  const table = content.tables[id];
  if (spec === undefined) throw new Error(`The layout has no table '${id}'.`);
  const [rows, columns = [0]] = table.axes;
  const isRising = spec.monotone.some(({ axis, direction }) => axis === 0 && direction === 'rising');
  const values = Object.entries(table.values).map(([variant, old]) => {
    const kept: number[] = [];
    for (let i = 0; i < old.length; i++) {
      const row = Math.floor(i / columns.length);
      const value = storeValue(spec, change(old[i], variant, rows[row], columns[i % columns.length]));
      kept.push(isRising && row > 0 ? Math.max(value, kept[i - columns.length]) : value);
    }
    return [variant, kept] as const;
  });
  return { axes: table.axes, values: Object.fromEntries(values) };
}

/** 0 below `from`, 1 above `to`, in a line between. */
function rise(x: number, from: number, to: number): number {
  return Math.min(1, Math.max(0, (x - from) / (to - from)));
}
