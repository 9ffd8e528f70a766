import type { ByLoad, GradingPolicy, ProgramPolicy } from './policy.js';

const LOAD_PERCENT = [0, 25, 50, 75, 100];

const byLoad = (value: readonly number[]): ByLoad => ({ load: LOAD_PERCENT, value });

const DEFAULT_PROGRAM: ProgramPolicy = {
  flareRpm: 60,
  flareMs: 50,
  tieUpDepth: 0.8,
  harshJerk: byLoad([16, 20, 26, 32, 38]),
  targetInertiaTimeS: byLoad([0.5, 0.46, 0.43, 0.4, 0.38]),
  slowFactor: 1.7,
};

/**
 * Thresholds of methods.md 4. Jerk and time tables are common practice put into numbers: a driver who asks for more
 * torque accepts a firmer and wants a quicker shift; the calm program asks for softer and longer shifts, the brisk
 * one for firmer and shorter ones.
 */
export const DEFAULT_POLICY: GradingPolicy = {
  version: 1,
  programs: {
    default: DEFAULT_PROGRAM,
    calm: {
      ...DEFAULT_PROGRAM,
      harshJerk: byLoad([11, 15, 20, 25, 30]),
      targetInertiaTimeS: byLoad([0.6, 0.55, 0.51, 0.47, 0.44]),
    },
    brisk: {
      ...DEFAULT_PROGRAM,
      harshJerk: byLoad([18, 24, 31, 38, 45]),
      targetInertiaTimeS: byLoad([0.42, 0.38, 0.35, 0.33, 0.31]),
    },
  },
  incompleteAfterS: 2.5,
  valveOnLimitS: 0.6,
  lockUpLimitS: 4,
};
