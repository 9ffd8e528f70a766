import type { Layout, Platform, RevisionContent } from '@syncline/calibration';
import type { GradingPolicy, LockUpEpisode, SampleFindings, Shift } from '@syncline/shifts';
import type {
  Actor,
  AnalysisResult,
  JobLease,
  LogQualityDocument,
  NewJob,
  NewShift,
  ReadFindingsDocument,
  ReceivedBlob,
  Store,
  VehicleProfile,
} from '../../src/index.js';

export const SYSTEM: Actor = { kind: 'system', id: null, name: 'test', requestId: 'request-1' };

export const PLATFORM: Platform = {
  id: 'tern6',
  title: 'Tern six-speed',
  gears: [
    { gear: 1, ratio: 4, applied: ['A', 'D'] },
    { gear: 2, ratio: 2.4, applied: ['A', 'E'] },
  ],
  clutches: [{ id: 'A', title: 'first clutch', kind: 'clutch' }],
  shifts: [
    { id: '1-2', from: 1, to: 2 },
    { id: '2-1', from: 2, to: 1 },
  ],
  programs: [{ id: 'calm', title: 'Calm', code: 1 }],
  dialects: [{ id: 'north', title: 'North' }],
  ratedInputTorqueNm: 300,
  inputInertiaKgM2: 0.15,
};

export const POLICY: Omit<GradingPolicy, 'version'> = {
  programs: {
    default: {
      flareRpm: 60,
      flareMs: 50,
      tieUpDepth: 0.8,
      harshJerk: { load: [0], value: [20] },
      targetInertiaTimeS: { load: [0], value: [0.4] },
      slowFactor: 1.7,
    },
  },
  incompleteAfterS: 2.5,
  valveOnLimitS: 3,
  lockUpLimitS: 4,
};

export const LAYOUT: Layout = { platformId: PLATFORM.id, version: 1, title: 'first', tables: [], rules: [] };

export function aContent(value = 100): RevisionContent {
  return {
    platformId: PLATFORM.id,
    layoutVersion: 1,
    tables: { fillPressure: { axes: [], values: { all: [value] } } },
  };
}

/** The canonical text of the builder's content, whose other keys stand in order already. */
export function canonical({ platformId, layoutVersion, tables }: RevisionContent): string {
  return JSON.stringify({ layoutVersion, platformId, tables });
}

export function aProfile(overrides: Partial<VehicleProfile> = {}): VehicleProfile {
  return {
    title: 'Blue van',
    platformId: PLATFORM.id,
    declaredDialect: 'north',
    engine: '2.5 diesel',
    massKg: 2100,
    ratedInputTorqueNm: 340,
    inputInertiaKgM2: 0.16,
    tyreRadiusM: 0.34,
    finalDriveRatio: 3.9,
    note: '',
    ...overrides,
  };
}

export function aShift(
  overrides: Partial<Omit<Shift, 'at' | 'measures'>> & Partial<Pick<Shift, 'at' | 'measures'>> = {},
): Shift {
  return {
    from: 1,
    to: 2,
    endedIn: 2,
    kind: '1-2',
    direction: 'up',
    isSkip: false,
    isPowerOn: true,
    outcome: 'complete',
    isHunting: false,
    startIndex: 1000,
    endIndex: 1100,
    commandS: 10.123,
    commandSource: 'gearTarget',
    inertiaStartS: 10.4,
    flareStartS: null,
    syncS: 10.81,
    ratio10S: 10.45,
    ratio90S: 10.77,
    at: {
      load: 42.5,
      inputTorqueNm: 130,
      engineSpeedRpm: 2400,
      inputSpeedRpm: 2380,
      outputSpeedRpm: 595,
      fluidTemperatureC: 81,
      pedal: 33,
      programCode: 1,
      applyPressureKpa: 480,
      supplyVoltageV: 13.9,
    },
    measures: {
      flareRpm: 0,
      flareMs: 0,
      flareRevolutions: 0,
      shiftTimeS: 0.69,
      inertiaTimeS: 0.41,
      delayS: 0.28,
      peakToPeakAcceleration: 2.1,
      peakJerk: 11,
      tieUpDepth: 0.1,
      tieUpImpulse: 0.01,
      speedStepRpm: 952,
      slipEnergyJ: 4200,
      valveOnAfterSyncS: 0.2,
      actualTimeS: 0.41,
      appliedStartKpa: 470,
      appliedMeanKpa: 520,
    },
    disturbances: [],
    ...overrides,
  };
}

export function aNewShift(overrides: Partial<NewShift> = {}): NewShift {
  return {
    shift: aShift(),
    grades: ['clean'],
    program: 'calm',
    bands: { load: 2, speed: 1, temperature: 3 },
    demandRatio: 0.04,
    demandWeight: 1,
    ...overrides,
  };
}

export function aLockUp(overrides: Partial<LockUpEpisode> = {}): LockUpEpisode {
  return {
    startIndex: 2000,
    endIndex: 4000,
    commandS: 20,
    madeS: 21.2,
    releasedS: 40,
    gear: 2,
    timeToLockS: 1.2,
    steadySlipRpm: 12,
    overshootRpm: 30,
    judderRpm: null,
    verdict: 'made',
    shiftsInside: 0,
    ...overrides,
  };
}

export const SAMPLE_FINDINGS: SampleFindings = {
  sampleCount: 5000,
  durationS: 50,
  medianIntervalS: 0.01,
  tooSlowForTiming: false,
  gaps: 1,
  longestGapS: 0.7,
  repeatedTimes: 2,
  stepsBack: 0,
  unreadableRatioS: 3,
  missingSignals: ['mark'],
};

export const READ_FINDINGS: ReadFindingsDocument = {
  rowCount: 5000,
  damagedRowCount: 1,
  damagedRows: [{ line: 7, column: 'load', found: 'x', expected: 'a number' }],
  missingValues: { load: 3 },
  remarks: [],
};

export const QUALITY: LogQualityDocument = {
  timing: {
    rateHz: 100,
    jitter: 0.01,
    longestIntervalS: 0.7,
    gaps: 1,
    repeatedTimes: 2,
    stepsBack: 0,
    longestStepBackS: 0,
    suitability: 'good',
    reason: 'median interval 10 ms (100 Hz)',
  },
  join: null,
  bus: null,
  findings: [],
};

export function aBlob(seed: number): ReceivedBlob {
  return {
    sha256: seed.toString(16).padStart(64, '0'),
    sizeBytes: 1000 + seed,
    storedBytes: 300,
    encoding: 'gzip',
    contentSha256: null,
  };
}

export function analysisJob(logId: string, testerId?: string): NewJob {
  return { kind: 'analyseLog', inputKey: logId, logId, testerId };
}

/** A club with one maintainer, one platform, one calibration with one revision. */
export function aClub(store: Store) {
  return store.transaction(() => makeClub(store));
}

function makeClub(store: Store) {
  const maintainer = store.people.setUp({
    clubName: 'Shore',
    name: 'Marram',
    email: 'marram@example.org',
    passwordHash: 'hash',
    session: aSession('maintainer-token'),
    requestId: 'request-0',
  });
  store.platforms.create({ actor: SYSTEM, platform: PLATFORM, policy: POLICY });
  store.platforms.addLayout({ actor: SYSTEM, layout: LAYOUT });
  const calibrationId = store.calibrations.create({
    actor: SYSTEM,
    title: 'Touring',
    platformId: PLATFORM.id,
    note: '',
  });
  const revisionId = aRevision(store, { calibrationId, parentId: null, content: aContent() });
  return { maintainer, calibrationId, revisionId };
}

export function aRevision(
  store: Store,
  { content, ...place }: { calibrationId: string; parentId: string | null; line?: string; content: RevisionContent },
): string {
  return store.calibrations.createRevision({
    actor: SYSTEM,
    ...place,
    message: 'a step',
    layoutVersion: 1,
    canonicalJson: canonical(content),
  });
}

export function aTester(store: Store, name: string): string {
  store.people.invite({ actor: SYSTEM, role: 'tester', note: '', secretHash: name, expiresAtMs: 9e15 });
  const session = aSession(`${name}-token`);
  return store.people.acceptInvitation({
    secretHash: name,
    name,
    email: `${name}@example.org`,
    passwordHash: 'hash',
    session,
    requestId: 'request-2',
  }).id;
}

export function aSession(tokenHash: string) {
  return { tokenHash, idleExpiresAtMs: 9e15, absoluteExpiresAtMs: 9e15 };
}

/** A log whose bytes are pretended to be in place. Its analysis is queued. */
export function aLog(
  store: Store,
  input: { vehicleId: string; seed: number; drivenAtMs?: number; revisionId?: string; testerId?: string },
): string {
  const { logId } = store.logs.add({
    actor: SYSTEM,
    vehicleId: input.vehicleId,
    fileName: `drive-${input.seed}.csv`,
    drivenAtMs: input.drivenAtMs ?? Date.UTC(2026, 1, 1) + input.seed * 1000,
    revisionId: input.revisionId,
    blob: aBlob(input.seed),
    jobFor: (id) => analysisJob(id, input.testerId),
  });
  return logId;
}

/** Claims jobs until the one of the log comes; only for tests with one log waiting. */
export function claimFor(store: Store, logId: string): JobLease {
  const claimed = store.jobs.claim({ leaseOwner: 'worker', leaseMs: 60_000 });
  if (claimed?.job.logId !== logId) throw new Error(`expected the job of ${logId}, got ${claimed?.job.logId}`);
  return claimed.lease;
}

export function aResult(overrides: Partial<AnalysisResult> & Pick<AnalysisResult, 'lease' | 'logId'>): AnalysisResult {
  return {
    state: 'ready',
    problem: null,
    analysisVersion: 1,
    policyVersion: 1,
    durationS: 50,
    shifts: [],
    lockUps: [],
    sampleFindings: SAMPLE_FINDINGS,
    readFindings: READ_FINDINGS,
    quality: QUALITY,
    inspection: null,
    signalFile: null,
    marks: [],
    ...overrides,
  };
}

/** Queues the log again and gives it these shifts. */
export function analyse(store: Store, logId: string, shifts: readonly NewShift[]): void {
  store.transaction(() => {
    store.logs.requeue({ actor: SYSTEM, logId, job: analysisJob(logId) });
    store.logs.replaceAnalysis(aResult({ lease: claimFor(store, logId), logId, shifts }));
  });
}
