import type { LoopResult } from './close-loop.ts';
import type { ErrorPart } from './error-parts.ts';
import type { LoopSetting } from './loop-setting.ts';

/** What is kept of one loop, for the page and its plot. Shares, and ln of pressure. */
export interface KeptLoop extends Pick<LoopSetting, 'gearset' | 'seed' | 'profileError'> {
  readonly rounds: readonly {
    readonly flare: number;
    readonly tieUpAndHarsh: number;
    readonly mapError: number;
    readonly mapErrorEverywhere: number;
  }[];
  /** Of the best map that the layout can hold. */
  readonly leastError: number;
  /** Shares of the last round's squared error; see `errorParts`. */
  readonly partsByHold: Readonly<Record<string, number>>;
  readonly partsByWay: Readonly<Record<string, number>>;
  readonly trimCorrelation: number;
}

export function keptOf({ setting, rounds, leastError, parts, trimCorrelation }: LoopResult): KeptLoop {
  return {
    gearset: setting.gearset,
    seed: setting.seed,
    profileError: setting.profileError,
    rounds: rounds.map(({ found, mapError }) => ({
      flare: rounded(found.flare),
      tieUpAndHarsh: rounded(found.tieUp + found.harsh),
      mapError: rounded(mapError.rms),
      mapErrorEverywhere: rounded(mapError.rmsEverywhere),
    })),
    leastError: rounded(leastError.rms),
    partsByHold: sharesOf(parts.byHold),
    partsByWay: sharesOf(parts.byWay),
    trimCorrelation: rounded(trimCorrelation),
  };
}

function sharesOf(parts: readonly ErrorPart[]): Record<string, number> {
  return Object.fromEntries(parts.map(({ name, share }) => [name, rounded(share)]));
}

/** Of a file with one loop a line. */
export function readLoops(text: string): KeptLoop[] {
  return text
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line));
}

/** Loops with one more, which takes the place of an earlier run of the same; in order of gearset, profile error, seed. */
export function withLoop(kept: readonly KeptLoop[], loop: KeptLoop): KeptLoop[] {
  const keyOf = ({ gearset, profileError, seed }: KeptLoop) =>
    [gearset, profileError.toFixed(3), String(seed).padStart(6, '0')].join(' ');
  const others = kept.filter((one) => keyOf(one) !== keyOf(loop));
  return [...others, loop].sort((a, b) => (keyOf(a) < keyOf(b) ? -1 : 1));
}

/** Far finer than the page shows. */
function rounded(value: number): number {
  return Number(value.toFixed(5));
}
