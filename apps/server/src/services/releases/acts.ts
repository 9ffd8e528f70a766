import type { ReleaseAct } from '@syncline/contract';
import { hasStageEvidence, type StageEvidence } from '@syncline/fleet';
import type { Release, ReleaseEventKind, ReleaseLook, ReleaseState } from '@syncline/store';
import { partWords } from './look-words.js';

export interface ReleaseStanding {
  readonly release: Pick<Release, 'state' | 'stage' | 'stages'>;
  readonly isApproved: boolean;
  readonly evidence: StageEvidence;
  readonly lastLook: Pick<ReleaseLook, 'verdict' | 'parts'> | undefined;
}

export interface PlannedMove {
  readonly kind: Extract<ReleaseEventKind, ReleaseAct | 'complete'>;
  readonly to: { readonly state: ReleaseState; readonly stage: number };
}

/** What keeps an act from being done, as a problem code and a sentence. */
export interface Hindrance {
  readonly code: 'release.wrongState' | 'release.notApproved' | 'release.evidenceMissing';
  readonly detail: string;
}

/** States that an act can be done in. */
const STATES_OF: Readonly<Record<ReleaseAct, readonly ReleaseState[]>> = {
  start: ['draft'],
  widen: ['running'],
  hold: ['running', 'complete'],
  resume: ['held'],
  recall: ['draft', 'running', 'held', 'complete'],
};

/** Acts that make it known why to the people of the cars. */
export const ACTS_WITH_REASON: readonly ReleaseAct[] = ['hold', 'resume', 'recall'];

/**
 * Where an act moves a release to, or what keeps it from that. Nothing goes on without the approval of its content, and
 * no stage is begun on too little evidence or while the monitor doubts. To stop is always possible.
 */
export function planAct(act: ReleaseAct, standing: ReleaseStanding): PlannedMove | Hindrance {
  const { state, stage, stages } = standing.release;
  if (!STATES_OF[act].includes(state)) {
    return { code: 'release.wrongState', detail: `A release that is ${state} cannot be asked to ${act}.` };
  }
  const hindrance = goingOn(act, standing);
  if (hindrance) return hindrance;
  switch (act) {
    case 'start':
      return { kind: 'start', to: { state: 'running', stage: 0 } };
    case 'widen':
      return stage + 1 < stages.length
        ? { kind: 'widen', to: { state: 'running', stage: stage + 1 } }
        : { kind: 'complete', to: { state: 'complete', stage } };
    case 'hold':
      return { kind: 'hold', to: { state: 'held', stage } };
    case 'resume':
      return { kind: 'resume', to: { state: 'running', stage } };
    case 'recall':
      return { kind: 'recall', to: { state: 'recalled', stage } };
    default:
      return act satisfies never;
  }
}

function goingOn(act: ReleaseAct, { release, isApproved, evidence, lastLook }: ReleaseStanding): Hindrance | null {
  if (act === 'hold' || act === 'recall') return null;
  if (!isApproved) {
    return { code: 'release.notApproved', detail: 'Its content is not approved, or no longer.' };
  }
  if (act !== 'start' && lastLook?.verdict === 'harm') {
    return {
      code: 'release.wrongState',
      detail: `The monitor shows harm: ${partsOf(lastLook, 'harm')}. Recall it, and release what mends it.`,
    };
  }
  if (act !== 'widen') return null;
  const stage = release.stages[release.stage];
  if (!hasStageEvidence(stage, evidence)) {
    return {
      code: 'release.evidenceMissing',
      detail:
        `Stage ${release.stage + 1} needs ${stage.minShifts} shifts of ${stage.minVehicles} cars; ` +
        `${evidence.shifts} shifts of ${evidence.vehicles} cars came in.`,
    };
  }
  if (lastLook?.verdict === 'doubtful') {
    return {
      code: 'release.evidenceMissing',
      detail: `The monitor is in doubt: ${partsOf(lastLook, 'doubt')} looks raised. More driving will tell.`,
    };
  }
  return null;
}

function partsOf({ parts }: Pick<ReleaseLook, 'parts'>, what: 'harm' | 'doubt'): string {
  return parts
    .filter((part) => (what === 'harm' ? part.kind === 'harm' : part.isDoubtful))
    .map(partWords)
    .join(', ');
}
