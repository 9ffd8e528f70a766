import { bandsOf, DEFAULT_FLEET_BANDS } from '@syncline/fleet';
import type { NewShift } from '@syncline/store';
import { type Packs, unpacked } from '../workers/packs.js';
import type { AssessedShift } from './assess-shift.js';

/** Shifts as they go into the store: what a worker found, with the bands that they count in. */
export function* foundShifts(packs: Packs<AssessedShift>): Generator<NewShift> {
  for (const found of unpacked(packs)) yield { ...found, bands: bandsOf(found.shift.at, DEFAULT_FLEET_BANDS) };
}
