import type { RevisionContent, TableContent } from '@syncline/calibration';
import { makeRandom, type Random } from '@syncline/drivetrain';
import type { Gearset } from './loop-setting.ts';

/** Commanded over fitting pressure, at the lowest and the highest place of each shift's table. */
const LOWEST = 0.65;
const HIGHEST = 1.35;
const WAVES = 4;

/**
 * A first map to start from: every shift's base pressure wrong by its own smooth error between −35 and +35 %, the factors
 * of engine speed and fluid temperature flat. It keeps the layout: whole kPa, within limits, rising with load.
 */
export function poorMap({ layout }: Gearset, matched: RevisionContent, seed: number): RevisionContent {
  const base = matched.tables.basePressure;
  const limits = layout.tables.find(({ id }) => id === 'basePressure')?.limits;
  if (limits === undefined) throw new Error("The layout has no table 'basePressure'.");
  const random = makeRandom(`loop error:${seed}`);
  const values = Object.entries(base.values).map(([shift, fitting]) => {
    const wrong = spoil(base.axes, fitting, smoothError(random)).map((kpa) =>
      Math.round(Math.min(limits.max, Math.max(limits.min, kpa))),
    );
    return [shift, rising(wrong, base.axes[1].length)] as const;
  });
  return {
    ...matched,
    tables: {
      ...matched.tables,
      basePressure: { ...base, values: Object.fromEntries(values) },
      speedFactor: flat(matched.tables.speedFactor),
      temperatureFactor: flat(matched.tables.temperatureFactor),
    },
  };
}

function spoil(
  [rows = [], columns = []]: TableContent['axes'],
  values: readonly number[],
  errorLn: (x: number, y: number) => number,
): number[] {
  return values.map((value, i) => {
    const row = Math.floor(i / columns.length) / (rows.length - 1);
    const column = (i % columns.length) / (columns.length - 1);
    return value * Math.exp(errorLn(row, column));
  });
}

function rising(values: readonly number[], columns: number): number[] {
  const kept = [...values];
  for (let i = columns; i < kept.length; i++) kept[i] = Math.max(kept[i], kept[i - columns]);
  return kept;
}

function flat(table: TableContent): TableContent {
  return {
    ...table,
    values: Object.fromEntries(Object.entries(table.values).map(([variant, values]) => [variant, values.map(() => 1)])),
  };
}

/** Low waves over the unit square, stretched to reach from the lowest to the highest error. */
function smoothError(random: Random): (x: number, y: number) => number {
  const waves = Array.from({ length: WAVES }, () => ({
    size: random.gaussian(),
    x: random.between(0, 1.2 * Math.PI),
    y: random.between(0, 1.2 * Math.PI),
    phase: random.between(0, 2 * Math.PI),
  }));
  const height = (x: number, y: number) =>
    waves.reduce((sum, wave) => sum + wave.size * Math.cos(wave.x * x + wave.y * y + wave.phase), 0);
  const grid = Array.from({ length: 21 }, (_, i) => i / 20);
  const heights = grid.flatMap((x) => grid.map((y) => height(x, y)));
  const [least, most] = [Math.min(...heights), Math.max(...heights)];
  const [low, high] = [Math.log(LOWEST), Math.log(HIGHEST)];
  return (x, y) => low + ((high - low) * (height(x, y) - least)) / (most - least);
}
