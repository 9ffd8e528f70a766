import type { Layout, RevisionContent } from '@syncline/calibration';
import {
  CURLEW_GEARBOX,
  type Gearbox,
  makeShiftLayout,
  matchedContent,
  PLOVER_GEARBOX,
  TERN_GEARBOX,
  TERN_GRADING,
} from '@syncline/drivetrain';
import type { GradingPolicy } from '@syncline/shifts';

/** One closed loop to run. */
export interface LoopSetting {
  readonly gearset: GearsetId;
  readonly seed: number;
  /** Revisions made after the first map. */
  readonly rounds: number;
  readonly cars: number;
  /** Torque and inertia of each profile are wrong by up to this part, evenly drawn. */
  readonly profileError: number;
  /** Requested shifts of each car in each round, beside an ordinary drive. */
  readonly shiftsPerCar: number;
  /** Rounds, this one included, whose shifts stand behind a proposal. */
  readonly evidenceRounds: number;
  /** Whether each car drives with its trims of the round before on top of the map. */
  readonly appliesTrims: boolean;
  /** Whether proposals may carry nodes of thin evidence along; see `ProposalPolicy`. */
  readonly carriesThin: boolean;
}

export const DEFAULT_SETTING: LoopSetting = {
  gearset: 'tern',
  seed: 1,
  rounds: 6,
  cars: 40,
  profileError: 0,
  shiftsPerCar: 150,
  evidenceRounds: 2,
  appliesTrims: true,
  carriesThin: true,
};

const GEARBOXES = { tern: TERN_GEARBOX, plover: PLOVER_GEARBOX, curlew: CURLEW_GEARBOX } as const;

export type GearsetId = keyof typeof GEARBOXES;
export const GEARSET_IDS = Object.keys(GEARBOXES) as GearsetId[];

/** A gearbox with its layout and the tables that suit its other actuators; the loop works on the pressure map alone. */
export interface Gearset {
  readonly gearbox: Gearbox;
  readonly layout: Layout;
  readonly matched: RevisionContent;
}

export function makeGearset(id: GearsetId): Gearset {
  const gearbox = GEARBOXES[id];
  const layout = makeShiftLayout(gearbox.platform);
  return { gearbox, layout, matched: matchedContent(gearbox, layout) };
}

export const RULE = 'applyPressure';
export const PROGRAM = 'normal';
export const LOOP_POLICY: GradingPolicy = TERN_GRADING;
/** Integration step of single shifts (s): coarser than that of drives, for twice the speed. */
export const BENCH_STEP_S = 0.005;
