import type { Platform } from '@syncline/calibration';
import type { ShiftPicture } from '@syncline/contract';
import type { Shift } from '@syncline/shifts';
import { type SignalWindow, type Store, type StoredShift, StoreError } from '@syncline/store';

/** Room around a shift (s), so that the lines are seen to be followed before and after. */
const BEFORE_S = 0.6;
const AFTER_S = 0.8;
/** How much is shown of a shift that never synchronised (s). */
const WITHOUT_SYNC_S = 2.5;
/** As many samples as a few seconds have at 200 Hz; where there are more, each point stands for the highest of its samples. */
const POINTS = 800;

/** The input speed between the two synchronous lines around each shift; null for all when the signals are gone. */
export async function readShiftPictures(
  store: Store,
  source: { readonly signalFile: string | null; readonly platform: Platform },
  shifts: readonly StoredShift[],
): Promise<(ShiftPicture | null)[]> {
  const none = shifts.map(() => null);
  if (source.signalFile === null || shifts.length === 0) return none;
  const file = await store.signals.open(source.signalFile).catch((error: unknown) => {
    if (error instanceof StoreError && error.code === 'signal_file_missing') return undefined;
    throw error;
  });
  if (file === undefined) return none;
  try {
    const pictures: ShiftPicture[] = [];
    for (const { shift } of shifts) {
      const range = rangeOf(shift);
      const signalIds = ['inputSpeed', 'outputSpeed'] as const;
      pictures.push(
        toPicture(await file.window({ signalIds, ...range, points: POINTS }), range, shift, source.platform),
      );
    }
    return pictures;
  } finally {
    await file.close();
  }
}

function rangeOf({ commandS, syncS }: Shift): { readonly fromS: number; readonly toS: number } {
  return { fromS: commandS - BEFORE_S, toS: (syncS ?? commandS + WITHOUT_SYNC_S) + AFTER_S };
}

function toPicture(
  window: SignalWindow,
  range: { readonly fromS: number; readonly toS: number },
  shift: Shift,
  platform: Platform,
): ShiftPicture {
  const highest = (signal: string) => window.series.find(({ signalId }) => signalId === signal)?.max ?? [];
  const ratioOf = (gear: number) => platform.gears.find((entry) => entry.gear === gear)?.ratio ?? Number.NaN;
  const scaled = (values: ArrayLike<number>, ratio: number) =>
    Array.from(values, (value) => (Number.isNaN(value * ratio) ? null : value * ratio));
  const output = highest('outputSpeed');
  return {
    ...range,
    timeS: [...window.timeS],
    inputRpm: scaled(highest('inputSpeed'), 1),
    fromLineRpm: scaled(output, ratioOf(shift.from)),
    toLineRpm: scaled(output, ratioOf(shift.to)),
  };
}
