import { interpolate } from '@syncline/calibration';

/** Inertia time that a shift should take (s) by load (%), per program id; programs not named use `default`. */
export type TargetTimes = Readonly<
  Record<string, { readonly load: readonly number[]; readonly value: readonly number[] }>
>;

/** Target inertia times of the demo: quicker under load, slower in the calm program, quicker in the brisk one. */
export const DEMO_TARGET_TIMES: TargetTimes = {
  default: { load: [0, 25, 50, 75, 100], value: [0.5, 0.46, 0.43, 0.4, 0.38] },
  calm: { load: [0, 25, 50, 75, 100], value: [0.6, 0.55, 0.51, 0.47, 0.44] },
  brisk: { load: [0, 25, 50, 75, 100], value: [0.42, 0.38, 0.35, 0.33, 0.31] },
};

/** Target inertia time (s) of a program at a load (%). */
export function targetTime(targets: TargetTimes, program: string, load: number): number {
  const table = targets[program] ?? targets.default;
  return interpolate([table.load], table.value, [load]);
}
