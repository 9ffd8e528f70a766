import type { Grade, Shift } from '@syncline/shifts';
import type { NewShift, Store } from '@syncline/store';
import { CAR, type Club, made } from './club.js';
import type { TestServer } from './server.js';

/** What the second revision does: fewer flares, and a jerk that is lower by this (m/s³). */
export const JERK_CHANGE = -3;
const FLARE_RATES = [0.3, 0.12];
const SHIFTS_PER_DRIVE = 40;
const SYSTEM = { kind: 'system', id: null, name: 'test', requestId: 'driven-fleet' } as const;

/** Park and Miller's generator, which is the same everywhere. */
function seededRandom(seed: number): () => number {
  let state = seed;
  return () => (state = (state * 48_271) % 2_147_483_647) / 2_147_483_647;
}

/**
 * Twelve cars that drove under both revisions, written into the store as an analysis would: two of the tester, ten of
 * the other. Cars 0 to 7 have a diesel, 8 and 9 a petrol engine, 10 and 11 one of three litres; 6 to 11 speak shingle by
 * what was observed, though all are declared sand.
 */
export async function driveFleet(server: TestServer, club: Club): Promise<string[]> {
  const vehicleIds: string[] = [];
  for (let car = 0; car < 12; car++) {
    const owner = car < 2 ? club.as.tester : club.as.otherTester;
    const engine = car < 8 ? CAR.engine : car < 10 ? '1.8 petrol' : '3.0 diesel';
    const { id } = await made(
      owner.post('/vehicles', { ...CAR, title: `Car ${String(car).padStart(2, '0')}`, engine }),
    );
    if (car >= 6) {
      const seen = { dialect: 'shingle', source: 'capture', note: 'from a capture' };
      await made(club.as.maintainer.post(`/vehicles/${id}/observations`, seen));
    }
    vehicleIds.push(id);
  }
  const random = seededRandom(20_240_229);
  for (const [car, vehicleId] of vehicleIds.entries()) {
    for (const [i, revisionId] of [...club.revisionIds, undefined].entries()) {
      const shifts = Array.from({ length: SHIFTS_PER_DRIVE }, () => aShift(random, car, i));
      addDrive(server.store, { vehicleId, revisionId, seed: car * 10 + i, shifts });
    }
  }
  return vehicleIds;
}

/** A drive with its result, in one transaction, so that the server's own workers never see its job. */
export function addDrive(
  store: Store,
  drive: { vehicleId: string; revisionId: string | undefined; seed: number; shifts: readonly NewShift[] },
): string {
  return store.transaction(() => {
    const { logId } = store.logs.add({
      actor: SYSTEM,
      vehicleId: drive.vehicleId,
      fileName: `drive-${drive.seed}.csv`,
      drivenAtMs: Date.UTC(2026, 0, 20) + drive.seed * 60_000,
      revisionId: drive.revisionId,
      blob: {
        sha256: (drive.seed + 1).toString(16).padStart(64, '0'),
        sizeBytes: 1000,
        storedBytes: 300,
        encoding: 'gzip',
        contentSha256: null,
      },
      jobFor: (id) => ({ kind: 'analyseLog', inputKey: id, logId: id }),
    });
    const claimed = store.jobs.claim({ leaseOwner: 'driven-fleet', leaseMs: 60_000 });
    if (claimed?.job.logId !== logId) throw new Error(`expected the job of ${logId}`);
    store.logs.replaceAnalysis({
      lease: claimed.lease,
      logId,
      state: 'ready',
      problem: null,
      analysisVersion: 1,
      policyVersion: 1,
      durationS: 600,
      shifts: drive.shifts,
      lockUps: [],
      sampleFindings: {
        sampleCount: 60_000,
        durationS: 600,
        medianIntervalS: 0.01,
        tooSlowForTiming: false,
        gaps: 0,
        longestGapS: 0,
        repeatedTimes: 0,
        stepsBack: 0,
        unreadableRatioS: 0,
        missingSignals: [],
      },
      readFindings: { rowCount: 60_000, damagedRowCount: 0, damagedRows: [], missingValues: {}, remarks: [] },
      quality: {
        timing: {
          rateHz: 100,
          jitter: 0,
          longestIntervalS: 0.01,
          gaps: 0,
          repeatedTimes: 0,
          stepsBack: 0,
          longestStepBackS: 0,
          suitability: 'good',
          reason: 'median interval 10 ms (100 Hz)',
        },
        join: null,
        bus: null,
        findings: [],
      },
      inspection: null,
      signalFile: null,
      marks: [],
    });
    return logId;
  });
}

/** Shifts of one car, the same each time. */
export function someShifts(count: number): NewShift[] {
  const random = seededRandom(7);
  return Array.from({ length: count }, () => aShift(random, 0, 0));
}

const KINDS = [
  [1, 2],
  [2, 3],
  [3, 2],
] as const;

/** Cars differ in jerk and flares; a shift in ten could not be measured, and one in ten has no load. */
function aShift(random: () => number, car: number, revision: number): NewShift {
  const [from, to] = KINDS[Math.floor(random() * KINDS.length)];
  const load = random() < 0.1 ? null : 100 * random();
  const fluidTemperatureC = 10 + 100 * random();
  const isMeasured = random() >= 0.1;
  const isFlare = isMeasured && random() < (FLARE_RATES[revision] ?? 0.2) * (1 + (car % 3) / 4);
  const peakJerk = isMeasured ? 12 + car / 3 + 4 * random() + (revision === 1 ? JERK_CHANGE : 0) : null;
  const grades: Grade[] = isFlare ? ['flare'] : peakJerk !== null && peakJerk > 15 ? ['harsh'] : ['clean'];
  const shift: Shift = {
    from,
    to,
    endedIn: to,
    kind: `${from}-${to}`,
    direction: to > from ? 'up' : 'down',
    isSkip: false,
    isPowerOn: true,
    outcome: 'complete',
    isHunting: false,
    startIndex: 1000,
    endIndex: 1100,
    commandS: 10,
    commandSource: 'gearTarget',
    inertiaStartS: isMeasured ? 10.3 : null,
    flareStartS: null,
    syncS: 10.8,
    ratio10S: null,
    ratio90S: null,
    at: {
      load,
      inputTorqueNm: null,
      engineSpeedRpm: 2400,
      inputSpeedRpm: 2000 + 500 * random(),
      outputSpeedRpm: 800,
      fluidTemperatureC,
      pedal: null,
      programCode: null,
      applyPressureKpa: null,
      supplyVoltageV: null,
    },
    measures: {
      flareRpm: isFlare ? 60 + 80 * random() : 0,
      flareMs: isFlare ? 120 : 0,
      flareRevolutions: 0,
      shiftTimeS: 0.5 + 0.3 * random(),
      inertiaTimeS: isMeasured ? 0.3 + 0.1 * random() : null,
      delayS: 0.2,
      peakToPeakAcceleration: null,
      peakJerk,
      tieUpDepth: to > from && isMeasured ? random() : null,
      tieUpImpulse: null,
      speedStepRpm: null,
      slipEnergyJ: 3000 + 2000 * random(),
      valveOnAfterSyncS: null,
      actualTimeS: null,
      appliedStartKpa: null,
      appliedMeanKpa: null,
    } as Shift['measures'],
    disturbances: [],
  };
  return {
    shift,
    grades,
    program: [null, 'calm', 'calm', 'brisk'][Math.floor(4 * random())],
    bands: {
      load: load === null ? -1 : [15, 30, 45, 60, 75].filter((edge) => load >= edge).length,
      speed: 1,
      temperature: [20, 50, 80, 100].filter((edge) => fluidTemperatureC >= edge).length,
    },
    demandRatio: null,
    demandWeight: null,
  };
}
