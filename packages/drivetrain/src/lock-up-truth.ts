import type { DriveTrace, LockUpRecord } from './drive-trace.js';

/** What really happened in one closing of the lock-up clutch. */
export interface LockUpTruth extends Readonly<LockUpRecord> {
  /** First moment from which |engine − input| stays below 200 rpm for 100 ms; null if never. */
  readonly madeS: number | null;
}

/** Lock-up counts as made below this slip (rpm), lasting for so long (s); methods.md 3. */
const LOCKED_SLIP_RPM = 200;
const LOCKED_LASTING_S = 0.1;

/** The truth of every lock-up episode of a drive. */
export function lockUpTruths(trace: DriveTrace): LockUpTruth[] {
  const lasting = Math.round(LOCKED_LASTING_S / trace.stepS);
  return trace.lockUps.map((record) => {
    const start = Math.round(record.commandS / trace.stepS);
    const end = Math.min(
      trace.inputRpm.length,
      Math.round((record.releasedS ?? Number.POSITIVE_INFINITY) / trace.stepS),
    );
    let run = 0;
    for (let i = start; i < end; i++) {
      run = Math.abs(trace.engineRpm[i] - trace.inputRpm[i]) < LOCKED_SLIP_RPM ? run + 1 : 0;
      if (run >= lasting) return { ...record, madeS: (i - run + 1) * trace.stepS };
    }
    return { ...record, madeS: null };
  });
}
