import type { Band, CoverageResponse } from '@syncline/contract';

/** A stretch of operating points with too little evidence: one shift, one fluid band, loads that lie side by side. */
export interface CoverageGap {
  readonly kind: string;
  readonly fluidTemperature: Band | undefined;
  /** First and last load band of the stretch. */
  readonly fromLoad: Band | undefined;
  readonly toLoad: Band | undefined;
  readonly shifts: number;
  readonly vehicles: number;
}

/**
 * The points that no one has driven, neighbours in load put together, and those driven too little, one by one. Both
 * keep the order of the answer, the emptiest first. O(n log n).
 */
export function coverageGaps(coverage: CoverageResponse): { never: CoverageGap[]; thin: CoverageGap[] } {
  const loadOf = bandFinder(coverage.loadBands);
  const fluidOf = bandFinder(coverage.fluidTemperatureBands);
  const thin = coverage.cells
    .filter(({ shifts }) => shifts > 0)
    .map((cell) => ({
      ...cell,
      fluidTemperature: fluidOf(cell.fluidTemperatureBand),
      fromLoad: loadOf(cell.loadBand),
      toLoad: loadOf(cell.loadBand),
    }));
  const never: CoverageGap[] = [];
  for (const { kind, fluidTemperatureBand, loadBands } of undrivenStretches(coverage.cells)) {
    const [first, last] = [loadBands[0] as number, loadBands[loadBands.length - 1] as number];
    const place = { kind, fluidTemperature: fluidOf(fluidTemperatureBand) };
    never.push({ ...place, fromLoad: loadOf(first), toLoad: loadOf(last), shifts: 0, vehicles: 0 });
  }
  return { never, thin };
}

interface Stretch {
  readonly kind: string;
  readonly fluidTemperatureBand: number;
  readonly loadBands: number[];
}

function undrivenStretches(cells: CoverageResponse['cells']): Stretch[] {
  const byPlace = new Map<string, Stretch>();
  for (const { kind, fluidTemperatureBand, loadBand, shifts } of cells) {
    if (shifts > 0) continue;
    const key = `${kind}/${fluidTemperatureBand}`;
    const stretch = byPlace.get(key) ?? { kind, fluidTemperatureBand, loadBands: [] };
    stretch.loadBands.push(loadBand);
    byPlace.set(key, stretch);
  }
  return [...byPlace.values()].flatMap((stretch) => {
    const runs: number[][] = [];
    for (const band of [...stretch.loadBands].sort((a, b) => a - b)) {
      const run = runs[runs.length - 1];
      if (run !== undefined && run[run.length - 1] === band - 1) run.push(band);
      else runs.push([band]);
    }
    return runs.map((loadBands) => ({ ...stretch, loadBands }));
  });
}

function bandFinder(bands: readonly Band[]): (index: number) => Band | undefined {
  const byIndex = new Map(bands.map((band) => [band.index, band]));
  return (index) => byIndex.get(index);
}

/** Where a gap lies, in words: “2-3, load 45–60 %, fluid below 20 °C”. */
export function describeGap({ kind, fromLoad, toLoad, fluidTemperature }: CoverageGap): string {
  return `${kind}, ${describeLoad(fromLoad, toLoad)}, fluid ${fluidTemperature?.label ?? 'at any temperature'}`;
}

function describeLoad(from: Band | undefined, to: Band | undefined): string {
  if (from === undefined || to === undefined || from.index === to.index) return `load ${from?.label ?? 'not logged'}`;
  if (from.low === null && to.high === null) return 'any load';
  if (from.low === null) return `load below ${to.high} %`;
  if (to.high === null) return `load ${from.low} % and above`;
  return `load ${from.low}–${to.high} %`;
}
