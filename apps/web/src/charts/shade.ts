import { type ColourScheme, cssColour, divergingColour, inkOn, type Rgb, sequentialColour } from '../theme/palette.js';

/** Ground and ink of a cell. */
export interface Shade {
  readonly background: string;
  readonly ink: string;
}

/** Ground of a cell whose value says nothing yet, for instance in a table of equal values. */
export const PLAIN_SHADE: Shade = { background: 'var(--surface)', ink: 'var(--ink)' };

/** Steps of a ramp: finer than the eye, few enough to be made once. */
const STEPS = 128;

function makeRamp(colourAt: (share: number) => Rgb): Shade[] {
  return Array.from({ length: STEPS + 1 }, (_, step) => {
    const colour = colourAt(step / STEPS);
    return { background: cssColour(colour), ink: inkOn(colour) };
  });
}

const SEQUENTIAL = makeRamp(sequentialColour);
const DIVERGING: Record<ColourScheme, Shade[]> = {
  light: makeRamp((share) => divergingColour(2 * share - 1, 'light')),
  dark: makeRamp((share) => divergingColour(2 * share - 1, 'dark')),
};

/** Shade of a value between the lowest and the highest of its table; plain when these are equal. */
export function valueShade(value: number, [low, high]: readonly [number, number]): Shade {
  if (!(high > low) || Number.isNaN(value)) return PLAIN_SHADE;
  return SEQUENTIAL[stepOf((value - low) / (high - low))] ?? PLAIN_SHADE;
}

/** Shade of a change; `reach` is the change that has the full colour. No change is plain. */
export function changeShade(change: number, reach: number, scheme: ColourScheme): Shade {
  if (!(reach > 0) || change === 0 || Number.isNaN(change)) return PLAIN_SHADE;
  return DIVERGING[scheme][stepOf((change / reach + 1) / 2)] ?? PLAIN_SHADE;
}

function stepOf(share: number): number {
  return Math.round(Math.min(1, Math.max(0, share)) * STEPS);
}
