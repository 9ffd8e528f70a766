import { deserialize, serialize } from 'node:v8';
import { deflateRawSync, inflateRawSync } from 'node:zlib';
import type { AssessedShift } from '../jobs/assess-shift.js';

/** Shifts of a pack: so many are whole objects at once, on either side. */
const PACK_SHIFTS = 256;

/** Gathers the shifts of a drive in a few hundred bytes each: a log of days has tens of thousands of them. */
export class ShiftPacker {
  private readonly packs: Uint8Array[] = [];
  private open: AssessedShift[] = [];

  add(shift: AssessedShift): void {
    this.open.push(shift);
    if (this.open.length === PACK_SHIFTS) this.pack();
  }

  /** All of them, for `unpackShifts`. */
  result(): readonly Uint8Array[] {
    if (this.open.length > 0) this.pack();
    return this.packs;
  }

  private pack(): void {
    this.packs.push(deflateRawSync(serialize(this.open), { level: 1 }));
    this.open = [];
  }
}

/** The very shifts that were packed, in their order. */
export function* unpackShifts(packs: readonly Uint8Array[]): Generator<AssessedShift> {
  for (const pack of packs) yield* deserialize(inflateRawSync(pack)) as AssessedShift[];
}
