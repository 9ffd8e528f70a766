import { bandsOf, DEFAULT_FLEET_BANDS } from '@syncline/fleet';
import type { NewShift } from '@syncline/store';
import { unpackShifts } from '../workers/packed-shifts.js';

/** Shifts as they go into the store: what a worker found, with the bands that they count in. */
export function* foundShifts(packs: readonly Uint8Array[]): Generator<NewShift> {
  for (const found of unpackShifts(packs)) yield { ...found, bands: bandsOf(found.shift.at, DEFAULT_FLEET_BANDS) };
}
